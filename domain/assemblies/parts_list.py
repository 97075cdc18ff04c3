"""The list that an assembly's parts are written on while it is taken apart: marks, counts, merging."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from domain.faces.face import MatingFace
from domain.lengths import Mm
from domain.notes import Note, NoteCode
from domain.parts import Elevation, Expansion, Joint, JointKind, Meeting, Member, Panel, Side, Single, Spot, Vector
from domain.problem_codes import ProblemCode
from domain.problems import BadInput, Problem
from domain.spec.assemblies import AssemblyBase, Fit
from domain.spec.choices import Entry, KeyChoices
from domain.timber.stuff import stuff_of


class PartsList:
    """Collects members (A1, A2 …), panels and joints (A-J1 …); equal ones are counted, not repeated.

    Quantities given are for one assembly; the list multiplies them by the assembly's own quantity.
    """

    def __init__(self, spec: AssemblyBase, choices: KeyChoices, called: str) -> None:
        self._spec = spec
        self._choices = choices.overridden_by(spec.keys)
        self._called = called
        # by everything but mark and quantity, so that equal parts find each other
        self._members: dict[tuple[object, ...], Member] = {}
        self._panels: dict[tuple[object, ...], Panel] = {}
        self._joints: dict[tuple[object, ...], Joint] = {}
        self._entries: set[Entry] = set()
        self._singles: Counter[str] = Counter()
        self._meetings: list[Meeting] = []

    def member(
        self,
        name: str,
        each: int,
        length: float,
        width: float,
        thickness: float,
        ends: tuple[float, float] = (90.0, 90.0),
        short_length: float | None = None,
        stands: tuple[Side, ...] = (),
    ) -> str:
        """Add members (sizes in mm) and return their mark; equal members of one name share a mark."""
        short = None if short_length is None else Mm(short_length)
        sizes = (Mm(length), Mm(width), Mm(thickness), ends, short)
        quantity = each * self._spec.quantity
        have = self._members.get((name, *sizes))
        if have is None:
            made = Member(self._next_mark(), name, quantity, *sizes, self._spec.material, stands)
        else:
            made = replace(have, quantity=have.quantity + quantity)
        self._members[name, *sizes] = made
        return made.mark

    def panel(
        self,
        name: str,
        each: int,
        length: float,
        width: float,
        thickness: float,
        material: str | None = None,
        room: float | None = None,
    ) -> str:
        """Add panels (sizes in mm) and return their mark; equal panels of one name share a mark."""
        sizes = (Mm(length), Mm(width), Mm(thickness), material, None if room is None else Mm(room))
        quantity = each * self._spec.quantity
        have = self._panels.get((name, *sizes))
        if have is None:
            made = Panel(self._next_mark(), name, quantity, *sizes)
        else:
            made = replace(have, quantity=have.quantity + quantity)
        self._panels[name, *sizes] = made
        return made.mark

    def _next_mark(self) -> str:
        return f"{self._spec.mark}{len(self._members) + len(self._panels) + 1}"

    def joint(
        self,
        kind: JointKind,
        place: str,
        each: int,
        members: tuple[str, str],
        face: MatingFace,
        entries: tuple[Entry, ...],
        possible: Iterable[Entry],
    ) -> str:
        """Add joints and return their mark; equal ones (kind, place, members, face) share a mark.

        ``entries`` are tried in this order; a pinned entry replaces them where it is ``possible``.
        Raises BadInput where one joint's own pinned entry is not possible.
        """
        quantity = each * self._spec.quantity
        face = replace(face, stuff=stuff_of(self._spec.material))
        key = (kind, place, members, face)
        have = self._joints.get(key)
        if have is not None:
            self._joints[key] = replace(have, quantity=have.quantity + quantity)
            return have.mark
        mark = f"{self._spec.mark}-J{len(self._joints) + 1}"
        own = self._spec.joints.get(mark)
        choices = self._choices.overridden_by(own)
        allowed = frozenset(possible)
        self._entries |= allowed
        if own is not None and own.entry is not None and own.entry not in allowed:
            words = ", ".join(sorted(f'"{entry}"' for entry in allowed))
            path = ("joints", mark, "entry")
            raise BadInput([Problem.of(path, own.entry.value, ProblemCode.NOT_HERE, words_text=words)])
        if choices.entry is not None and choices.entry in allowed:
            entries = (choices.entry,)
        self._joints[key] = Joint(mark, kind, place, quantity, members, face, entries, choices)
        return mark

    def single(self, mark: str) -> Single:
        """The next piece of this mark, counted from the first in the order in which they are asked for."""
        self._singles[mark] += 1
        return Single(mark, self._singles[mark] - 1)

    def meet(self, joint: str, first: Spot, second: Spot, into: Vector, along: Vector) -> None:
        """Two pieces meet: one of the joints of this mark, in one copy. Called once for every one of them."""
        self._meetings.append(Meeting(joint, first, second, into, along))

    def expansion(self, elevation: Elevation, notes: Iterable[Note] = ()) -> Expansion:
        """The finished list. Raises BadInput where the spec pins what none of its joints can have."""
        pinned = self._spec.keys.entry
        if pinned is not None and pinned not in self._entries:
            words = ", ".join(sorted(f'"{entry}"' for entry in self._entries))
            path = ("keys", "entry")
            raise BadInput([Problem.of(path, pinned.value, ProblemCode.NOT_AMONG_HERE, words_text=words)])
        marks = [joint.mark for joint in self._joints.values()]
        unknown = [mark for mark in self._spec.joints if mark not in marks]
        if unknown:
            there = ", ".join(marks)
            raise BadInput(
                Problem.of(("joints", mark), mark, ProblemCode.NO_SUCH_JOINT, there_text=there) for mark in unknown
            )
        return Expansion(
            mark=self._spec.mark,
            name=self._spec.name or self._called,
            quantity=self._spec.quantity,
            members=tuple(self._members.values()),
            panels=tuple(self._panels.values()),
            joints=tuple(self._joints.values()),
            meetings=tuple(self._meetings),
            elevation=elevation,
            notes=tuple(notes),
        )


def over(least: float, path: tuple[str | int, ...], value: float, what: str) -> Iterable[Problem]:
    """A Problem where ``value`` (mm) is not above ``least``: the usual check between two sizes."""
    if value <= least + 1e-9:
        yield Problem.of(path, round(value, 3), ProblemCode.NOT_MORE_THAN, what_text=what, least=round(least, 6))


def under(most: float, path: tuple[str | int, ...], value: float, what: str) -> Iterable[Problem]:
    """A Problem where ``value`` (mm) is not below ``most``."""
    if value >= most - 1e-9:
        yield Problem.of(path, round(value, 3), ProblemCode.NOT_LESS_THAN, what_text=what, most=round(most, 3))


def grooves_stop(panel: str, fit: Fit, through: str, depth: float) -> Note:
    """How far a panel's groove or rabbet is run on in pieces that others meet: its corner lies there.

    A panel is as large as its opening and twice the depth, so its corner lies that much past it both ways.
    """
    return Note.of(NoteCode.GROOVES_STOP, panel_text=panel, fit_text=fit.value, piece_text=through, depth=depth)
