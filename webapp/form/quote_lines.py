"""Lines of a quote as one types them: other work with its time, own lines with their price, addresses."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from domain.problem_codes import ProblemCode
from domain.problems import Refused
from domain.spec.quote import OtherWork, OwnLine
from webapp.form.fields import Plain
from webapp.wording.amounts import plain as plain_number
from webapp.wording.exact import parse_number, price_text
from webapp.wording.exact import parse_price as read_price

HOW_WORK = "One a line: what, then its time, such as “Sanding, 85 min” or “Fitting on site, 2.5 h”"
HOW_OWN = "One a line: what, then its price, or how many × the price of one, such as “Hooks, 6 × 1.15”"
_NUMBER = r"\d[\d.,]*"
_WORK = re.compile(
    rf"(?P<text>.+?)[\s,:;]+(?P<number>{_NUMBER})\s*(?P<unit>min|minutes?|h|hours?)\.?", re.IGNORECASE
)
_OWN = re.compile(
    rf"(?P<text>.+?)[\s,:;]+(?:(?P<count>{_NUMBER})\s*[×x*]\s*)?(?P<price>{_NUMBER})(?:\s*[A-Za-z]{{3}})?"
)
MINUTES_AN_HOUR = 60
Made = TypeVar("Made")


def read_work(text: str) -> Iterator[OtherWork]:
    """Every line. Raises Refused with a sentence that names the line and what would work."""
    return _lines(text, _work)


def read_own(text: str, plain: Plain) -> Iterator[OwnLine]:
    """The same of lines with a price in the form's currency."""
    return _lines(text, lambda line: _own(line, plain))


def text_lines(text: str) -> tuple[str, ...]:
    """The lines that say something, as they stand."""
    return tuple(" ".join(line.split()) for line in text.splitlines() if line.strip())


def work_lines(work: Iterable[OtherWork]) -> str:
    """Other work as it can be typed again."""
    return "\n".join(f"{each.text}, {_said(each.minutes)} min" for each in work)


def own_lines(lines: Iterable[OwnLine], plain: Plain) -> str:
    """Own lines as they can be typed again."""
    return "\n".join(f"{each.text}, {_times(each)}{price_text(each.price, plain.currency)}" for each in lines)


def _times(line: OwnLine) -> str:
    return "" if line.count == 1 else f"{_said(line.count)} × "


def _lines(text: str, read: Callable[[str], Made]) -> Iterator[Made]:
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            try:
                yield read(" ".join(line.split()))
            except Refused as refusal:
                said = f"line {number}, “{line.strip()[:60]}”: {refusal}"
                raise Refused(ProblemCode.AS_TOLD, told_text=said) from None


def _work(line: str) -> OtherWork:
    found = _WORK.fullmatch(line)
    if found is None:
        raise Refused(ProblemCode.AS_TOLD, told_text="needs its time at the end, such as 85 min or 2.5 h")
    number = parse_number(found["number"])
    minutes = number * MINUTES_AN_HOUR if found["unit"].lower().startswith("h") else number
    if not 0 < minutes <= 1_000_000:
        raise Refused(ProblemCode.NOT_ABOVE, bound_n=0)
    return OtherWork(text=_text(found["text"]), minutes=float(minutes))


def _own(line: str, plain: Plain) -> OwnLine:
    found = _OWN.fullmatch(line)
    if found is None:
        raise Refused(ProblemCode.AS_TOLD, told_text="needs a price at the end, such as 18.40 or 6 × 1.15")
    count = Decimal(1) if found["count"] is None else parse_number(found["count"])
    if not 0 < count <= 1_000_000:
        raise Refused(ProblemCode.NOT_ABOVE, bound_n=0)
    return OwnLine(text=_text(found["text"]), count=float(count), price=read_price(found["price"], plain.currency))


def _text(text: str) -> str:
    if len(text) > 120:
        raise Refused(ProblemCode.TEXT_TOO_LONG, most_n=120)
    return text


def _said(number: float) -> str:
    return plain_number(Fraction(repr(number)), 6)
