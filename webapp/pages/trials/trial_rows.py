"""The book of trials in words: each trial with what it proves, and what those of one kind say together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import isfinite

from domain.lengths import Length, Units, format_fine, format_length
from domain.planning.fit import snug_projection
from domain.spec.catalogue import CutterKind, Section
from domain.spec.rules import Rules
from domain.spec.starts import in_this_wood, same_wood
from domain.trials.fit import SLACK, Bounds, implied, solve_today
from domain.trials.proposal import Clamped, Proposal, Why, next_projection
from domain.trials.trial import KeptTrial, Outcome, Trial
from domain.trials.weighing import bounds_text
from webapp.pages.trials.tools import tool_words
from webapp.site import urls
from webapp.store.trials import StoredStart, Withdrawal
from webapp.usecases.trials import Book
from webapp.wording.exact import length_text

_OUTCOMES = {
    Outcome.SNUG: "snug",
    Outcome.TIGHT: "tight",
    Outcome.BURST: "burst",
}


@dataclass(frozen=True, slots=True)
class TrialRow:
    """A trial as it is read; ``withdrawn`` is why it counts no more, "" where it counts."""

    kept: KeptTrial
    outcome: str
    proves: str
    withdrawn: str


@dataclass(frozen=True, slots=True)
class Says:
    """What trials say together, in words, the catalogue's figures beside it; "" for what is not known."""

    snug: str
    catalogue_snug: str
    next: str
    why: str
    catalogue: str
    difference: str
    contradictions: tuple[str, ...]
    sizes: str
    again: str
    accept: str


@dataclass(frozen=True, slots=True)
class Group:
    """Trials of one section and cutter in one wood, the newest first; ``says`` is None where none counts.

    ``accepted`` is the start that the shop plans with in this wood.
    """

    title: str
    section: str
    cutter: CutterKind
    species: str
    rows: tuple[TrialRow, ...]
    says: Says | None
    accepted: StoredStart | None


def groups(book: Book, units: Units) -> tuple[Group, ...]:
    """The whole book; the group of the newest trial first."""
    return tuple(_group(book, rows, units) for rows in _sorted(book))


def group_of(book: Book, trial: Trial, units: Units) -> Group:
    """The group that a trial of the book belongs to."""
    return next(_group(book, rows, units) for rows in _sorted(book) if _alike(rows[0][0].trial, trial))


def trial_row(
    kept: KeptTrial, withdrawal: Withdrawal | None, sections: Iterable[Section], units: Units
) -> TrialRow:
    """One trial as it is read."""
    section = next((each for each in sections if each.name == kept.trial.section), None)
    proves = "" if section is None else _proves(kept.trial, section, units)
    return TrialRow(kept, outcome_text(kept.trial, units), proves, "" if withdrawal is None else withdrawal.why)


def outcome_text(trial: Trial, units: Units) -> str:
    """What the key did, with its figure."""
    match trial.outcome, trial.gap, trial.stopped_at:
        case Outcome.HELD_APART, Length() as gap, _:
            return f"held apart by {format_fine(gap.mm, units)}"
        case Outcome.LOOSE, Length() as gap, _:
            return f"loose by {format_fine(gap.mm, units)}"
        case Outcome.STOPPED, _, Length() as at:
            return f"stopped at {format_length(at.mm, units)}"
        case _:
            return _OUTCOMES[trial.outcome]


def in_use(book: Book, section: str, cutter: CutterKind, species: str | None) -> StoredStart | None:
    """The accepted start that a job in this wood is planned with; None where it is the catalogue's."""
    held = {each.start: each for each in book.starts if each.ended is None}
    found = in_this_wood(tuple(held), species)
    return next((held[start] for start in found if (start.section, start.cutter) == (section, cutter)), None)


def sheet_of(project: str) -> str:
    """The address of the set-up sheet of the project that a form was opened from; "" where it was from none."""
    number = project if project.isascii() and project.isdigit() and len(project) < 16 else ""
    return urls.set_ups(int(number)) if number else ""


_Entry = tuple[KeptTrial, Withdrawal | None]


def _sorted(book: Book) -> list[list[_Entry]]:
    entries: list[_Entry] = [*((kept, None) for kept in book.trials), *book.withdrawn]
    entries.sort(key=lambda entry: (entry[0].day, entry[0].number), reverse=True)
    found: list[list[_Entry]] = []
    for entry in entries:
        mine = next((rows for rows in found if _alike(rows[0][0].trial, entry[0].trial)), None)
        if mine is None:
            found.append([entry])
        else:
            mine.append(entry)
    return found


def _alike(one: Trial, other: Trial) -> bool:
    same_tool = (one.section, one.cutter) == (other.section, other.cutter)
    return same_tool and same_wood(one.species, other.species)


def _group(book: Book, entries: Sequence[_Entry], units: Units) -> Group:
    newest = entries[0][0].trial
    counting = [kept for kept, gone in entries if gone is None]
    section = next((each for each in book.sections if each.name == newest.section), None)
    known = section is not None and section.tip(newest.cutter) is not None
    return Group(
        title=f"{tool_words(newest.section, newest.cutter)}, {newest.species}",
        section=newest.section,
        cutter=newest.cutter,
        species=newest.species,
        rows=tuple(trial_row(kept, gone, book.sections, units) for kept, gone in entries),
        says=_says(counting, section, book.rules, units) if counting and section is not None and known else None,
        accepted=in_use(book, newest.section, newest.cutter, newest.species),
    )


def _says(counting: Sequence[KeptTrial], section: Section, rules: Rules, units: Units) -> Says:
    last = counting[0].trial
    tip = section.tip(last.cutter)
    assert tip is not None  # the caller's groups have a cutter that the catalogue has
    proposal = next_projection(counting, section, rules)
    catalogue = snug_projection(section, tip.mm)
    usual = catalogue + rules.preload.mm
    return Says(
        snug=snug_text(proposal.snug, units),
        catalogue_snug=format_fine(catalogue, units),
        next="" if proposal.projection is None else format_fine(proposal.projection, units),
        why=why_text(proposal.why, proposal.clamped, units),
        catalogue=format_fine(usual, units),
        difference="" if proposal.projection is None else difference_text(proposal.projection - usual, units),
        contradictions=tuple(clash.text(units) for clash in proposal.contradictions),
        sizes=_sizes(proposal, section, last.cutter, units),
        again=_again(last, proposal, units),
        accept=urls.start(
            section=last.section,
            cutter=last.cutter.value,
            species=last.species,
            thickness=length_text(last.thickness, units),
        ),
    )


def why_text(why: Why, clamped: Clamped | None, units: Units) -> str:
    """Why this projection is next, and what may be planned with already."""
    return why.text(units) if clamped is None else f"{why.text(units)} {clamped.text(units)}"


def snug_text(bounds: Bounds, units: Units) -> str:
    """Where the key is snug, in words."""
    if isfinite(bounds.low) and isfinite(bounds.high) and bounds.high - bounds.low <= 2 * SLACK:
        return format_fine((bounds.low + bounds.high) / 2, units)
    return bounds_text(bounds, units)


def difference_text(by: float, units: Units) -> str:
    """How far a projection is from the catalogue's.

    >>> difference_text(0.11, Units.MM), difference_text(-0.0, Units.MM)
    ('0.11 mm deeper than the catalogue’s', 'the same as the catalogue’s')
    """
    if abs(by) < 0.005:
        return "the same as the catalogue’s"
    return f"{format_fine(abs(by), units)} {'deeper' if by > 0 else 'shallower'} than the catalogue’s"


def _proves(trial: Trial, section: Section, units: Units) -> str:
    solved = solve_today(trial, section)
    said = []
    if solved.snug.known:
        said.append(f"snug at {_at(solved.snug, units)}")
    if solved.half_depth.value is not None:
        said.append(f"half depth of the key {format_fine(solved.half_depth.value, units)}")
    if solved.ceiling is not None:
        said.append(f"{format_fine(solved.ceiling, units)} is too much")
    return "; ".join(said) or "nothing of the fit"


def _at(bounds: Bounds, units: Units) -> str:
    """Bounds after "snug at".

    >>> _at(Bounds(high=6.2), Units.MM), _at(Bounds(low=6.1), Units.MM), _at(Bounds.at(6.35), Units.MM)
    ('6.2 mm or less', '6.1 mm or more', '6.35 mm')
    """
    if isfinite(bounds.low) == isfinite(bounds.high):
        return bounds_text(bounds, units)
    more = isfinite(bounds.low)
    return f"{format_fine(bounds.low if more else bounds.high, units)} or {'more' if more else 'less'}"


def _sizes(proposal: Proposal, section: Section, cutter: CutterKind, units: Units) -> str:
    """Which sizes in the catalogue would explain a snug projection that is far from theirs."""
    snug = proposal.snug
    if not (isfinite(snug.low) and isfinite(snug.high)) or snug.high - snug.low > 2 * SLACK:
        return ""
    found = implied(section, cutter, (snug.low + snug.high) / 2)
    if abs(found.off) <= 2 * SLACK:
        return ""
    return (
        f"A waist of {format_fine(found.waist, units)} would explain it, or a tip of"
        f" {format_fine(found.tip, units)}: measure key and cutter again."
    )


def _again(last: Trial, proposal: Proposal, units: Units) -> str:
    """Where the next trial is recorded, filled in like the last one but for the projection."""
    projection = None if proposal.projection is None else Length.from_mm(round(proposal.projection, 2))
    return urls.new_trial(
        section=last.section,
        cutter=last.cutter.value,
        species=last.species,
        thickness=length_text(last.thickness, units),
        projection=length_text(projection, units),
        depth=length_text(last.depth, units),
        fence_reading=length_text(last.fence_reading, units),
    )
