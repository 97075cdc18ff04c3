"""The form of a key section: measured with calipers, in the shop's units, typed as it comes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from domain.lengths import Length, Units
from domain.measuring import flank_from_widths, suggested_name
from domain.problems import BadInput, Problem
from domain.reading import read
from domain.spec.catalogue import Section, check_section
from webapp.form.values import Fields
from webapp.site.incoming import SentForm
from webapp.store.catalogue import StoredSection
from webapp.wording.exact import length_text, number_text, price_text

ONE_SIDE, WHOLE_KEY = "one_side", "whole_key"
LABELS = {
    "name": "Name",
    "waist": "Waist",
    "overall": "Overall width",
    "depth": "Depth",
    "depth_of": "Depth measured over",
    "flank": "Flank angle",
    "tip_diameter": "Cutter tip",
    "free_tip_diameter": "Free-fit cutter tip",
    "drive_limit": "Drive limit",
    "stock_from": "Stock from",
    "stock_to": "Stock to",
    "reach_limit": "Reach limit",
}
FIELDS = tuple(LABELS)
MOST_ROWS = 24
_SPARE_ROWS = 2
_FIRST_ROWS = 4
_AS_TYPED = {"half_depth": "depth", "lengths": "length[0]"}


@dataclass(frozen=True, slots=True)
class LengthRow:
    """A stock length and its price, as typed."""

    length: str
    price: str

    @property
    def empty(self) -> bool:
        """Whether nothing was typed in the row."""
        return not (self.length or self.price)


@dataclass(frozen=True, slots=True)
class SectionTexts:
    """The form's texts: one for each of ``FIELDS``, and the rows of lengths."""

    fields: Mapping[str, str]
    rows: tuple[LengthRow, ...]

    def with_room(self, more: int = 0) -> SectionTexts:
        """The same with empty rows at the end to type in, ``more`` of them beyond the usual."""
        used = max((index + 1 for index, row in enumerate(self.rows) if not row.empty), default=0)
        wanted = max(_FIRST_ROWS, used + _SPARE_ROWS, len(self.rows)) + more
        count = max(used, min(wanted, MOST_ROWS))
        return SectionTexts(self.fields, (*self.rows, *[LengthRow("", "")] * count)[:count])


@dataclass(slots=True)
class MeasuredKey:
    """What of a key's section could be read so far; ``flank_worked_out`` where the widths gave the angle."""

    waist: Length | None = None
    half_depth: Length | None = None
    flank: float | None = None
    overall: Length | None = None
    tip_diameter: Length | None = None
    free: Length | None = None
    flank_worked_out: bool = False


@dataclass(frozen=True, slots=True)
class SectionReading:
    """The form, read: ``section`` and ``prices`` where all is well, else ``errors`` by field."""

    key: MeasuredKey
    section: Section | None = None
    prices: Mapping[Length, int | None] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


def blank_section() -> SectionTexts:
    """An empty form."""
    return SectionTexts({**dict.fromkeys(FIELDS, ""), "depth_of": ONE_SIDE}, ()).with_room()


def shown_section(stored: StoredSection, units: Units, currency: str) -> SectionTexts:
    """The form of a section that is in the catalogue; every text reads back to the same value."""
    section = stored.section
    lengths = {name: length_text(getattr(section, name), units) for name in _LENGTHS}
    texts = {
        **lengths,
        "name": section.name,
        "overall": "",
        "depth": length_text(section.half_depth, units),
        "depth_of": ONE_SIDE,
        "flank": number_text(section.flank),
    }
    rows = (
        LengthRow(length_text(length, units), price_text(price, currency))
        for length, price in stored.prices.items()
    )
    return SectionTexts(texts, tuple(rows)).with_room()


_LENGTHS = (
    "waist",
    "tip_diameter",
    "free_tip_diameter",
    "drive_limit",
    "stock_from",
    "stock_to",
    "reach_limit",
)


def sent_section(form: SentForm) -> SectionTexts:
    """The form as it was sent. Rows beyond the most there can be are left away."""
    lengths, prices = form.texts("length"), form.texts("price")
    count = min(max(len(lengths), len(prices)), MOST_ROWS)
    rows = zip(_filled(lengths, count), _filled(prices, count), strict=True)
    texts = {name: form.text(name) for name in FIELDS}
    return SectionTexts(texts, tuple(LengthRow(*row) for row in rows)).with_room()


def _filled(texts: Sequence[str], count: int) -> list[str]:
    return [*texts, *[""] * count][:count]


def read_section(texts: SectionTexts, units: Units, currency: str) -> SectionReading:
    """Read the whole form; every field that cannot be used has its sentence."""
    fields = Fields(texts.fields, units)
    key = _read_key(fields)
    rows = _read_rows(texts.rows, units, currency)
    lengths = tuple(rows.prices)
    data: dict[str, object] = {
        "name": texts.fields["name"] or suggested(key),
        "waist": key.waist,
        "half_depth": key.half_depth,
        "flank": key.flank,
        "tip_diameter": key.tip_diameter,
        "free_tip_diameter": key.free,
        "lengths": lengths,
        "drive_limit": fields.length("drive_limit", optional=True) or max(lengths, default=None),
        "stock_from": fields.length("stock_from"),
        "stock_to": fields.length("stock_to"),
    }
    reach = fields.length("reach_limit", optional=True)
    if reach is not None:
        data["reach_limit"] = reach
    errors = {**fields.errors, **rows.errors}
    section = None
    if not errors:
        section, problems = _checked(data)
        errors |= _placed(problems, lengths, rows, units)
    if errors:
        return SectionReading(key, errors=_in_order(errors))
    return SectionReading(key, section, rows.prices)


def _checked(data: Mapping[str, object]) -> tuple[Section | None, tuple[Problem, ...]]:
    try:
        section = read(Section, data)
    except BadInput as refusal:
        return None, refusal.problems
    return section, tuple(check_section(section))


def _read_key(fields: Fields) -> MeasuredKey:
    key = MeasuredKey(
        waist=fields.length("waist"),
        half_depth=_half_depth(fields),
        overall=fields.length("overall", optional=True),
        tip_diameter=fields.length("tip_diameter"),
        free=fields.length("free_tip_diameter", optional=True),
    )
    key.flank = _flank(fields, key)
    key.flank_worked_out = key.flank is not None and fields.missing("flank")
    return key


def _half_depth(fields: Fields) -> Length | None:
    depth = fields.length("depth")
    if depth is None or fields.texts.get("depth_of") != WHOLE_KEY:
        return depth
    return Length(max(1, round(depth.nm / 2)))


def _flank(fields: Fields, key: MeasuredKey) -> float | None:
    if not fields.missing("flank"):
        typed = Fields({"flank": fields.texts["flank"].removesuffix("°")}, fields.units)
        number = typed.number("flank")
        if number is None or not 0 < number <= 45:
            fields.errors["flank"] = "must be an angle above 0 and up to 45 degrees, such as 12 or 8,5"
            return None
        return float(number)
    if key.overall is None:
        if "overall" not in fields.errors:
            fields.errors["flank"] = "type the angle, or leave it empty and measure the overall width instead"
        return None
    if key.waist is None or key.half_depth is None:
        return None
    flank = flank_from_widths(key.overall, key.waist, key.half_depth)
    if flank is None or flank == 0:
        fields.errors["overall"] = "must be more than the waist: a key is widest at its ends"
        return None
    if flank > 45:
        fields.errors["overall"] = (
            f"with this waist and depth the flank would lean {number_text(round(flank, 1))}°, and no more than "
            "45° can be cut; measure width, waist and depth again"
        )
        return None
    return flank


def suggested(key: MeasuredKey) -> str:
    """The name that the measurements suggest; "" until they say enough."""
    shape = shape_of(key)
    return "" if shape is None else suggested_name(shape.overall_width)


def shape_of(key: MeasuredKey) -> Section | None:
    """The key as a section to be looked at, its other numbers made up; None until its shape is known.

    Without a cutter the tip is the waist's, which no cutter can be: ask ``key.tip_diameter`` first.
    """
    if key.waist is None or key.half_depth is None or key.flank is None:
        return None
    return Section(
        name="measured",
        waist=key.waist,
        half_depth=key.half_depth,
        flank=key.flank,
        tip_diameter=key.tip_diameter or key.waist,
        free_tip_diameter=key.free,
        lengths=(key.waist,),
        drive_limit=key.waist,
        stock_from=key.waist,
        stock_to=key.waist,
    )


@dataclass(frozen=True, slots=True)
class _Rows:
    """Prices by length, shortest first; the row that each length stands in; errors by field."""

    prices: dict[Length, int | None]
    places: dict[Length, int]
    errors: dict[str, str]


def _read_rows(rows: Sequence[LengthRow], units: Units, currency: str) -> _Rows:
    texts: dict[str, str] = {}
    for index, row in enumerate(rows):
        texts |= {f"length[{index}]": row.length, f"price[{index}]": row.price}
    fields = Fields(texts, units)
    prices: dict[Length, int | None] = {}
    places: dict[Length, int] = {}
    for index, row in enumerate(rows):
        if row.empty:
            continue
        length = fields.length(f"length[{index}]")
        price = fields.price(f"price[{index}]", currency)
        if length in prices:
            fields.errors[f"length[{index}]"] = "stands there twice; keep one"
        elif length is not None:
            prices[length], places[length] = price, index
    if not prices and not fields.errors:
        fields.errors["length[0]"] = "at least one length is needed, such as 16 mm"
    return _Rows(dict(sorted(prices.items())), places, fields.errors)


def _placed(problems: Sequence[Problem], lengths: Sequence[Length], rows: _Rows, units: Units) -> dict[str, str]:
    """The domain's problems at the fields where what they speak of was typed."""
    errors: dict[str, str] = {}
    for problem in problems:
        first, *rest = problem.path
        if first == "lengths" and rest:
            name = f"length[{rows.places[lengths[int(rest[0])]]}]"
        else:
            name = _AS_TYPED.get(str(first), str(first))
        errors.setdefault(name, problem.text(units))
    return errors


def _in_order(errors: Mapping[str, str]) -> dict[str, str]:
    """Errors in the order of the fields on the page, so that the summary reads downwards."""
    places = {name: place for place, name in enumerate(PAGE_ORDER)}
    return dict(sorted(errors.items(), key=lambda item: places.get(item[0], len(places))))


PAGE_ORDER = (
    "waist",
    "depth",
    "overall",
    "flank",
    "name",
    "tip_diameter",
    "free_tip_diameter",
    "stock_from",
    "stock_to",
    "drive_limit",
    "reach_limit",
)
