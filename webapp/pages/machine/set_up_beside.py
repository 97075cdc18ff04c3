"""What the shop's book has to say beside a set-up: trials near it, kept mouldings, where to write more down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from domain.lengths import Length, Units, format_fine, format_length
from domain.machine.set_ups import Batch
from domain.machine.sheet import Sheet
from domain.planning.set_up import SetUp
from domain.spec.assemblies import MitredFrame
from domain.trials.evidence import Start
from domain.trials.mouldings import KeptMoulding
from webapp.pages.trials.mouldings import readings_text
from webapp.pages.trials.tools import tool_words
from webapp.pages.trials.trial_rows import difference_text
from webapp.site import urls
from webapp.usecases.projects import PlannedProject
from webapp.usecases.trials import Beside, Stock
from webapp.wording.exact import length_text

MOST_EVIDENCE = 3
"""Trials named on a set-up; the page of the start has them all."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What trials near a set-up say of its projection.

    ``set_aside`` counts those that a nearer one contradicts; ``accepted`` where another figure was accepted.
    """

    wood: str
    says: str
    difference: str
    evidence: tuple[str, ...]
    set_aside: int
    accepted: bool
    address: str


@dataclass(frozen=True, slots=True)
class KeptReadings:
    """A kept moulding of the same stock, in words."""

    name: str
    day: str
    words: str


@dataclass(frozen=True, slots=True)
class BesideSetUp:
    """All that stands beside one set-up; the links as words and address."""

    advice: tuple[Advice, ...]
    kept: tuple[KeptReadings, ...]
    record: tuple[tuple[str, str], ...]
    keep: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Shop:
    """Projects on a sheet and what the book has for each, by the sources' keys.

    ``typed`` are the units that the shop's own forms are typed in.
    """

    projects: Mapping[str, PlannedProject]
    besides: Mapping[str, Beside]
    typed: Units


def beside_sheet(sheet: Sheet, shop: Shop, units: Units) -> dict[int, BesideSetUp]:
    """What stands beside every set-up, by its number."""
    kept_already: set[tuple[str, str]] = set()
    found = {}
    for line in sheet.lines:
        set_up, batches = line.work.set_up, line.work.batches
        frames = [place for place in _frames(batches, shop) if place not in kept_already]
        kept_already.update(frames)
        found[line.number] = BesideSetUp(
            advice=tuple(_advices(set_up, batches, shop, units)),
            kept=tuple(_kept(each, units) for each in _mouldings(batches, shop)),
            record=tuple(_records(set_up, batches, shop)),
            keep=tuple(
                (f"Keep the readings of {mark}", urls.new_moulding(project=key, assembly=mark))
                for key, mark in frames
            ),
        )
    return found


def _woods(batches: Iterable[Batch], shop: Shop) -> dict[tuple[str, str | None], Batch]:
    """The woods that are milled, by project, each with its first batch."""
    found: dict[tuple[str, str | None], Batch] = {}
    for batch in batches:
        specs = (each.stored.spec for each in shop.projects[batch.source].assemblies)
        species = next((spec.material for spec in specs if spec.mark == batch.assembly), None)
        found.setdefault((batch.source, species), batch)
    return found


def _advices(set_up: SetUp, batches: Iterable[Batch], shop: Shop, units: Units) -> Iterable[Advice]:
    said = set()
    for (source, species), batch in _woods(batches, shop).items():
        stock = Stock(set_up.section, set_up.cutter, species, set_up.clamp_height)
        start = shop.besides[source].starts.get(stock)
        if start is not None and stock not in said and _worth_saying(start, batch):
            said.add(stock)
            yield _advice(start, batch, _address(stock, source, shop.typed), units)


def _worth_saying(start: Start, batch: Batch) -> bool:
    """False where the set-up is planned with just what the trials say."""
    if batch.plan.start is None or start.projection is None:
        return True
    return abs(start.projection - batch.plan.projection) > 0.005


def _advice(start: Start, batch: Batch, address: str, units: Units) -> Advice:
    thickness = format_length(start.thickness, units)
    return Advice(
        wood=f"{start.species}, {thickness}" if start.species else thickness,
        says="" if start.projection is None else format_fine(start.projection, units),
        difference="" if start.difference is None else difference_text(start.difference, units),
        evidence=tuple(
            f"trial {each.kept.number}: {each.text(units)}" for each in start.evidence if not each.set_aside
        )[:MOST_EVIDENCE],
        set_aside=sum(each.set_aside for each in start.evidence),
        accepted=batch.plan.start is not None,
        address=address,
    )


def _address(stock: Stock, source: str, typed: Units) -> str:
    return urls.start(
        section=stock.section,
        cutter=stock.cutter.value,
        species=stock.species or "",
        thickness=_typed(stock.thickness, typed),
        project=source,
    )


def _records(set_up: SetUp, batches: Iterable[Batch], shop: Shop) -> Iterable[tuple[str, str]]:
    woods = _woods(batches, shop)
    several = len({species for _, species in woods}) > 1
    said = set()
    for (source, species), batch in woods.items():
        if species in said:
            continue
        said.add(species)
        words = f"Record a trial in {species or 'wood without a name'}" if several else "Record a trial"
        yield (
            words,
            urls.new_trial(
                section=set_up.section,
                cutter=set_up.cutter.value,
                species=species or "",
                thickness=_typed(set_up.clamp_height, shop.typed),
                projection=_typed(round(set_up.projection, 2), shop.typed),
                depth=_typed(batch.plan.from_edge(batch.entries[0]).depth, shop.typed),
                fence_reading=_typed(set_up.fence_reading, shop.typed),
                project=source,
            ),
        )


def _typed(mm: float, units: Units) -> str:
    return length_text(Length.from_mm(mm), units)


def _frames(batches: Iterable[Batch], shop: Shop) -> list[tuple[str, str]]:
    """The frames that are milled: source and mark."""
    frames = {
        (key, each.stored.spec.mark)
        for key, project in shop.projects.items()
        for each in project.assemblies
        if isinstance(each.stored.spec, MitredFrame)
    }
    return [
        place for place in dict.fromkeys((batch.source, batch.assembly) for batch in batches) if place in frames
    ]


def _mouldings(batches: Iterable[Batch], shop: Shop) -> tuple[KeptMoulding, ...]:
    found = {
        each.number: each
        for source, mark in _frames(batches, shop)
        for each in shop.besides[source].mouldings.get(mark, ())
    }
    return tuple(found.values())


def _kept(each: KeptMoulding, units: Units) -> KeptReadings:
    moulding, worked = each.moulding, each.moulding.worked
    assert worked is not None  # only such match a frame
    tool = tool_words(worked.section, worked.cutter)
    return KeptReadings(
        moulding.name,
        moulding.day,
        f"fence {readings_text(worked, units)}; projection {format_fine(worked.projection.mm, units)}, {tool}",
    )
