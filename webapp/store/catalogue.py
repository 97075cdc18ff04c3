"""The shop's catalogue: key sections with their stock lengths and prices, and plugs.

Prices are whole minor units of the shop's currency for one piece; None where none is known. Every
change raises the catalogue's edition.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from sqlalchemy import delete
from sqlmodel import Session, col, select

from domain.lengths import Length
from domain.problems import BadInput, Path, Problem
from domain.reading import read
from domain.spec.catalogue import HIGHEST_PRICE, Plug, Section, check_section
from webapp.store.errors import NameTaken, Unreadable
from webapp.store.rows import Step, change_places, claim, find, next_position, number_of
from webapp.store.shop import raise_edition
from webapp.store.tables import PlugRow, SectionLengthRow, SectionRow
from webapp.wording.problems import InputProblem

MOST_SECTIONS = 60
"""A project file holds no more, and a project can always be written out."""
FLANK_STEPS = 1_000_000
NO_PRICES: Mapping[Length, int | None] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class StoredSection:
    """A section in the catalogue. ``prices`` has every one of its lengths, shortest first."""

    id: int
    version: int
    position: int
    section: Section
    prices: Mapping[Length, int | None]


@dataclass(frozen=True, slots=True)
class StoredPlug:
    """A plug in the catalogue, and what one costs."""

    id: int
    version: int
    plug: Plug
    price: int | None


def list_sections(session: Session) -> tuple[StoredSection, ...]:
    """The catalogue's sections in the shop's order. Raises Unreadable."""
    lengths: dict[int, list[SectionLengthRow]] = {}
    for length in session.exec(select(SectionLengthRow).order_by(col(SectionLengthRow.length))):
        lengths.setdefault(length.section_id, []).append(length)
    rows = session.exec(select(SectionRow).order_by(col(SectionRow.position), col(SectionRow.id)))
    return tuple(_section(row, lengths.get(number_of(row), ())) for row in rows)


def load_section(session: Session, section_id: int) -> StoredSection:
    """One section. Raises NotFound or Unreadable."""
    return _section(find(session, SectionRow, section_id), _lengths(session, section_id))


def create_section(session: Session, section: Section, prices: Mapping[Length, int | None] = NO_PRICES) -> int:
    """Add a section at the end of the catalogue; its number.

    The flank angle is kept to a millionth of a degree, lengths shortest first. Raises NameTaken, or
    BadInput for numbers that cannot belong together and for a price without its length.
    """
    _check(section, prices)
    _free_name(session, section.name)
    position = next_position(session, SectionRow)
    if len(session.exec(select(SectionRow.id)).all()) >= MOST_SECTIONS:
        raise BadInput([Problem.of(("name",), section.name, InputProblem.TOO_MANY_SECTIONS, most_n=MOST_SECTIONS)])
    row = SectionRow(position=position, **_columns(section))
    session.add(row)
    session.flush()
    _put_lengths(session, number_of(row), section, prices)
    raise_edition(session)
    return number_of(row)


def update_section(
    session: Session,
    section_id: int,
    version: int,
    section: Section,
    prices: Mapping[Length, int | None] = NO_PRICES,
) -> int:
    """Put ``section`` and ``prices`` in the place of the stored ones; its new version.

    Raises NotFound, StaleEdit, NameTaken or BadInput.
    """
    _check(section, prices)
    row = claim(session, SectionRow, section_id, version)
    if section.name != row.name:
        _free_name(session, section.name)
    for name, value in _columns(section).items():
        setattr(row, name, value)
    session.exec(delete(SectionLengthRow).where(col(SectionLengthRow.section_id) == section_id))
    _put_lengths(session, section_id, section, prices)
    raise_edition(session)
    return row.version


def delete_section(session: Session, section_id: int, version: int) -> None:
    """Delete the section with its lengths. Raises NotFound or StaleEdit."""
    session.delete(claim(session, SectionRow, section_id, version))
    raise_edition(session)


def move_section(session: Session, section_id: int, step: Step) -> None:
    """Swap the section with the one before or after it; the outermost stays. Raises NotFound."""
    if change_places(session, find(session, SectionRow, section_id), step):
        raise_edition(session)


def list_plugs(session: Session) -> tuple[StoredPlug, ...]:
    """The plugs by material and height. Raises Unreadable."""
    plugs = (_plug(row) for row in session.exec(select(PlugRow)))
    # not by the database, of which each has an order of its own for names
    return tuple(sorted(plugs, key=lambda stored: (stored.plug.material, stored.plug.height)))


def load_plug(session: Session, plug_id: int) -> StoredPlug:
    """One plug. Raises NotFound or Unreadable."""
    return _plug(find(session, PlugRow, plug_id))


def create_plug(session: Session, plug: Plug, price: int | None = None) -> int:
    """Add a plug; its number. Raises NameTaken for a second of one material and height, or BadInput."""
    _check_price(("price",), price)
    _free_plug(session, plug)
    row = PlugRow(material=plug.material, height=plug.height, price_minor=price)
    session.add(row)
    raise_edition(session)
    return number_of(row)


def update_plug(session: Session, plug_id: int, version: int, plug: Plug, price: int | None = None) -> int:
    """Put ``plug`` and ``price`` in the place of the stored ones; its new version.

    Raises NotFound, StaleEdit, NameTaken or BadInput.
    """
    _check_price(("price",), price)
    row = claim(session, PlugRow, plug_id, version)
    if (plug.material, plug.height) != (row.material, row.height):
        _free_plug(session, plug)
    row.material, row.height, row.price_minor = plug.material, plug.height, price
    raise_edition(session)
    return row.version


def delete_plug(session: Session, plug_id: int, version: int) -> None:
    """Delete the plug. Raises NotFound or StaleEdit."""
    session.delete(claim(session, PlugRow, plug_id, version))
    raise_edition(session)


def _check(section: Section, prices: Mapping[Length, int | None]) -> None:
    read(Section, section.model_dump(mode="json"))
    problems = list(check_section(section))
    for length, price in prices.items():
        if length not in section.lengths:
            problems.append(Problem.of(("prices",), length.mm, InputProblem.NO_SUCH_LENGTH))
        problems.extend(_price_problems(("prices", f"{length.mm:g}"), price))
    if problems:
        raise BadInput(problems)


def _check_price(path: Path, price: int | None) -> None:
    problems = tuple(_price_problems(path, price))
    if problems:
        raise BadInput(problems)


def _price_problems(path: Path, price: int | None) -> Iterable[Problem]:
    if price is not None and not 0 <= price <= HIGHEST_PRICE:
        yield Problem.of(path, price, InputProblem.PRICE_OUT_OF_RANGE, most_n=HIGHEST_PRICE)


def _free_name(session: Session, name: str) -> None:
    if session.exec(select(SectionRow.id).where(SectionRow.name == name)).first() is not None:
        raise NameTaken("section", name)


def _free_plug(session: Session, plug: Plug) -> None:
    same = select(PlugRow.id).where(PlugRow.material == plug.material, PlugRow.height == plug.height)
    if session.exec(same).first() is not None:
        raise NameTaken("plug", f"{plug.material}, {plug.height.mm:g} mm high")


_SAME = (
    "name",
    "waist",
    "half_depth",
    "tip_diameter",
    "free_tip_diameter",
    "drive_limit",
    "stock_from",
    "stock_to",
    "reach_limit",
    "end",
)


def _columns(section: Section) -> dict[str, Any]:
    flank = max(1, round(section.flank * FLANK_STEPS))
    return {"flank": flank, **{name: getattr(section, name) for name in _SAME}}


def _lengths(session: Session, section_id: int) -> Iterable[SectionLengthRow]:
    query = select(SectionLengthRow).where(SectionLengthRow.section_id == section_id)
    return session.exec(query.order_by(col(SectionLengthRow.length)))


def _put_lengths(session: Session, section_id: int, section: Section, prices: Mapping[Length, int | None]) -> None:
    session.add_all(
        SectionLengthRow(section_id=section_id, length=length, price_minor=prices.get(length))
        for length in section.lengths
    )
    session.flush()


def _section(row: SectionRow, lengths: Iterable[SectionLengthRow]) -> StoredSection:
    prices = {length.length: length.price_minor for length in lengths}
    values = {name: getattr(row, name) for name in _SAME}
    data = {**values, "flank": row.flank / FLANK_STEPS, "lengths": tuple(prices)}
    try:
        section = read(Section, data)
    except BadInput as error:
        raise Unreadable("section", number_of(row), error.problems) from None
    return StoredSection(number_of(row), row.version, row.position, section, prices)


def _plug(row: PlugRow) -> StoredPlug:
    try:
        plug = read(Plug, {"material": row.material, "height": row.height})
    except BadInput as error:
        raise Unreadable("plug", number_of(row), error.problems) from None
    return StoredPlug(number_of(row), row.version, plug, row.price_minor)
