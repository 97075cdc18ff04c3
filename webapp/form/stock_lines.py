"""What a wood may be cut from as somebody types it: a length or sheet a line, its price or how many there are."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from domain.lengths import HOW_TO_WRITE, Length, LengthError, Units, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import Refused
from domain.spec.wood import WoodStock
from webapp.form.fields import Plain
from webapp.wording.exact import length_text, parse_price, price_text

HOW_BARS = "One length a line: its length, then “at” a price, or how many are “on hand”"
HOW_SHEETS = "One sheet a line: length × width, then “at” a price, or how many are “on hand”"
_LINE = re.compile(
    r"(?P<size>.+?)(?:\s+at\s+(?P<price>\S+?))?(?:[,;]?\s+(?P<count>\d{1,6})\s+on\s+hand)?", re.IGNORECASE
)
_TIMES = re.compile(r"\s*[×x*]\s*", re.IGNORECASE)
MOST_COUNTED = 100_000


def read_stock_lines(text: str, plain: Plain, *, sheets: bool) -> Iterator[WoodStock]:
    """Every line. Raises Refused with a sentence that names the line and what would work."""
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            try:
                yield _read(" ".join(line.split()), plain, sheets=sheets)
            except Refused as refusal:
                said = f"line {number}, “{line.strip()[:60]}”: {refusal}"
                raise Refused(ProblemCode.AS_TOLD, told_text=said) from None


def stock_lines(stock: Iterable[WoodStock], plain: Plain) -> str:
    """The same as it can be typed again."""
    lines = []
    for each in stock:
        sizes = (each.length,) if each.width is None else (each.length, each.width)
        words = " × ".join(length_text(size, plain.units) for size in sizes)
        words += "" if each.price is None else f" at {price_text(each.price, plain.currency)}"
        lines.append(words + ("" if each.count is None else f", {each.count} on hand"))
    return "\n".join(lines)


def _read(line: str, plain: Plain, *, sheets: bool) -> WoodStock:
    found = _LINE.fullmatch(line)
    if found is None:  # no line is without a size
        raise Refused(ProblemCode.NOT_A_LENGTH, how_text=HOW_TO_WRITE)
    sizes = [_size(each, plain.units) for each in _TIMES.split(found["size"])]
    if len(sizes) != (2 if sheets else 1):
        raise Refused(ProblemCode.AS_TOLD, told_text="needs length × width" if sheets else "needs one length")
    count = None if found["count"] is None else int(found["count"])
    if count is not None and not 1 <= count <= MOST_COUNTED:
        raise Refused(ProblemCode.AS_TOLD, told_text=f"on hand must be 1 to {MOST_COUNTED}")
    return WoodStock(
        length=sizes[0],
        width=sizes[1] if sheets else None,
        price=None if found["price"] is None else parse_price(found["price"], plain.currency),
        count=count,
    )


def _size(text: str, units: Units) -> Length:
    try:
        size = parse_length(text, units)
    except LengthError:
        raise Refused(ProblemCode.NOT_A_LENGTH, how_text=HOW_TO_WRITE) from None
    if size.nm <= 0:
        raise Refused(ProblemCode.NOT_ABOVE, bound_n=0)
    return size
