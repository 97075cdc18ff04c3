"""The texts of any form read by its description: values by their path, a sentence for what is none."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any

from domain.lengths import HOW_TO_WRITE, Length, LengthError, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import Path, Problem, Refused
from domain.spec.in_line import InLine, read_in_line
from webapp.form.common import ANY
from webapp.form.fields import (
    Field,
    Group,
    ListOf,
    Node,
    Plain,
    Sort,
    item_numbers,
    joined,
    path_of,
    under,
)
from webapp.wording.amounts import parse_amount
from webapp.wording.exact import parse_number, parse_price
from webapp.wording.letters import check_letters
from webapp.wording.problems import InputProblem
from webapp.wording.temperature import parse_temperature

_LONGEST_NUMBER = 20
_CURRENCY = re.compile(r"[A-Z]{3}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class Reader:
    """Walks a form's description over its texts and gathers values by path.

    ``names`` tells which field a path stands in; ``refused`` are the paths that have their problem already,
    which the spec need not repeat.
    """

    def __init__(self, texts: Mapping[str, str], plain: Plain) -> None:
        self.texts = texts
        self.plain = plain
        self.data: dict[str | int, Any] = {}
        self.names: dict[Path, str] = {}
        self.problems: list[Problem] = []
        self.refused: set[Path] = set()

    def groups(self, groups: Iterable[Group]) -> None:
        """Read these groups; one with a switch only where it is ticked."""
        for group in groups:
            if group.switch is not None:
                self.names[path_of(group.switch)] = group.switch
                if group.switch not in self.texts:
                    continue
                self.put(path_of(group.switch), {})
            self.nodes(group.nodes, "", ())

    def nodes(self, nodes: Iterable[Node], prefix: str, path: Path) -> None:
        """Read these nodes of the item at ``prefix`` (in the form) and ``path`` (in the spec)."""
        for node in nodes:
            here = (*path, *path_of(node.name)) if node.name else path
            if isinstance(node, ListOf):
                self._list(node, joined(prefix, node.name), here)
            else:
                self._field(node, joined(prefix, node.name), here)

    def put(self, path: Path, value: object) -> None:
        """Set the value at a path, making what is missing on the way."""
        at = self.data
        for step in path[:-1]:
            at = at.setdefault(step, {})
        at[path[-1]] = value

    def refuse(self, problem: Problem) -> None:
        """Note a problem that the spec need not repeat."""
        self.problems.append(problem)
        self.refused.add(problem.path)

    def as_spec(self) -> Any:
        """What was gathered, with lists where the form has lists."""
        return _as_lists(self.data)

    def _field(self, field: Field, name: str, path: Path) -> None:
        if field.when is not None and self.texts.get(field.when.field) not in field.when.values:
            return
        self.names[path] = name
        text = self.texts.get(name, "").strip()
        try:
            if text:
                self.put(path, value_of(field, text, self.plain))
            elif field.needed is not None:
                self.refuse(Problem.of(path, "missing", ProblemCode.AS_TOLD, told_text=field.needed))
        except Refused as refused:
            self.refuse(refused.at(path, text))

    def _list(self, listed: ListOf, name: str, path: Path) -> None:
        self.names[path] = name
        if listed.required:
            self.put(path, [])
        kept = 0
        for number in item_numbers(self.texts, name):
            item = joined(name, str(number))
            if not any(self.texts[text].strip() for text in under(self.texts, item)):
                continue
            if kept == 0:
                self.put(path, {})
            self.put((*path, kept), {})
            # what is wrong with an item as a whole is told at its first field
            first = listed.nodes[0]
            self.names[(*path, kept)] = joined(item, first.name) if isinstance(first, Field) else item
            self.nodes(listed.nodes, item, (*path, kept))
            kept += 1


def value_of(field: Field, text: str, plain: Plain) -> object:
    """The value that a text means in a field. Raises Refused."""
    if field.any_word and text.casefold() == ANY:
        return None
    letters = len(text.replace("\r\n", "\n"))
    if field.longest is not None and letters > field.longest and field.must is None:
        told = f"has {letters} letters and may have at most {field.longest}; shorten it: nothing is cut by itself"
        raise Refused(ProblemCode.AS_TOLD, told_text=told)
    try:
        return _READ[field.sort](field, text, plain)
    except Refused:
        if field.must is None:
            raise
        raise Refused(ProblemCode.AS_TOLD, told_text=field.must) from None


def _length(field: Field, text: str, plain: Plain) -> Length:
    try:
        length = parse_length(text, plain.units)
    except LengthError:
        raise Refused(ProblemCode.NOT_A_LENGTH, how_text=HOW_TO_WRITE) from None
    if field.zero is not None and (length.nm < 0 or (length.nm == 0 and not field.zero)):
        raise Refused(ProblemCode.BELOW if field.zero else ProblemCode.NOT_ABOVE, bound_n=0)
    return length


def _lengths(field: Field, text: str, plain: Plain) -> list[Length]:
    parts = filter(None, (part.strip() for part in text.split(";")))
    return [_length(field, part, plain) for part in parts]


def _in_line(field: Field, text: str, plain: Plain) -> list[Any]:
    return read_in_line(InLine(field.name), text, plain.units)


def _points(field: Field, text: str, plain: Plain) -> list[list[Length]]:
    points = [_lengths(field, line, plain) for line in text.splitlines() if line.strip()]
    if any(len(point) != 2 for point in points):
        raise Refused(InputProblem.NOT_POINTS)
    return points


def _whole(field: Field, text: str, plain: Plain) -> int:
    if not (text.isascii() and text.removeprefix("-").isdecimal() and len(text) <= _LONGEST_NUMBER):
        raise Refused(ProblemCode.NOT_WHOLE)
    return int(text)


def _number(field: Field, text: str, plain: Plain) -> float:
    return float(parse_number(text.removesuffix(field.unit or "")))


def _percent(field: Field, text: str, plain: Plain) -> float:
    number, most = parse_number(text.removesuffix("%")), field.most or 100
    if not 0 <= number <= most:
        raise Refused(InputProblem.NOT_A_SHARE, most_text=f"{most}")
    return float(number / 100)


def _temperature(field: Field, text: str, plain: Plain) -> float:
    return parse_temperature(text, plain.units)


def _money(field: Field, text: str, plain: Plain) -> int:
    return parse_price(text, plain.currency)


def _currency(field: Field, text: str, plain: Plain) -> str:
    if not _CURRENCY.fullmatch(text.upper()):
        raise Refused(InputProblem.NOT_A_CURRENCY)
    return text.upper()


def _day(field: Field, text: str, plain: Plain) -> str:
    try:
        if _DAY.fullmatch(text):
            return date.fromisoformat(text).isoformat()
    except ValueError:
        pass  # written as a day, and none of the calendar
    raise Refused(ProblemCode.NOT_A_DAY)


def _count(field: Field, text: str, plain: Plain) -> int:
    return parse_amount(text, field.unit or "")


def _change(field: Field, text: str, plain: Plain) -> int:
    return parse_amount(text, field.unit or "", signed=True)


def _text(field: Field, text: str, plain: Plain) -> str:
    check_letters(text)
    if field.must and field.options and text not in dict(field.options):
        raise Refused(ProblemCode.AS_TOLD, told_text=field.must)
    return text


def _yes_no(field: Field, text: str, plain: Plain) -> bool:
    if text not in dict(field.options):
        raise Refused(ProblemCode.AS_TOLD, told_text=field.must or 'must be "yes" or "no"')
    return text == "yes"


_READ: Mapping[Sort, Callable[[Field, str, Plain], object]] = {
    Sort.LENGTH: _length,
    Sort.LENGTHS: _lengths,
    Sort.IN_LINE: _in_line,
    Sort.POINTS: _points,
    Sort.WHOLE: _whole,
    Sort.COUNT: _count,
    Sort.CHANGE: _change,
    Sort.NUMBER: _number,
    Sort.PERCENT: _percent,
    Sort.TEMPERATURE: _temperature,
    Sort.MONEY: _money,
    Sort.CURRENCY: _currency,
    Sort.DAY: _day,
    Sort.TEXT: _text,
    Sort.CHOICE: _text,
    Sort.YES_NO: _yes_no,
}


def _as_lists(value: Any) -> Any:
    """Objects whose keys are all numbers are the lists they stand for."""
    if not isinstance(value, dict):
        return value
    mended = {step: _as_lists(inner) for step, inner in value.items()}
    if mended and all(isinstance(step, int) for step in mended):
        return [mended[step] for step in sorted(mended)]
    return mended
