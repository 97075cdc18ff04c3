"""Which edges of an assembly are looked at, and what shows there: ends of keys, or the plugs over them.

What is in sight as a rule is common practice (no source): the front of a frame and of a carcass, the rim of a box
that no top covers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from domain.notes import Note, NoteCode
from domain.planning.plans import JointPlan
from domain.spec.assemblies import Assembly, Box, Carcass, MitredFrame, RailedFrame, SingleJoint, TopFit
from domain.spec.choices import Entry


def edges_in_sight(spec: Assembly) -> frozenset[Entry]:
    """The edges that are looked at: as the assembly says itself, else as its kind has it."""
    if spec.show is not None:
        return frozenset(Entry(edge) for edge in spec.show)
    match spec:
        case MitredFrame() | RailedFrame() | Carcass():
            return frozenset({Entry.FRONT})
        case Box():
            covered = spec.top is not None and spec.top.fit is TopFit.OVER
            return frozenset() if covered else frozenset({Entry.TOP})
        case SingleJoint():
            return frozenset()


def notes_on_sight(spec: Assembly, joints: Sequence[JointPlan]) -> Iterator[Note]:
    """What shows at each edge in sight, and plugs where nobody looks; for the joints that can be made."""
    sight = edges_in_sight(spec)
    for edge in Entry:
        plugged, bare = (_entered(joints, edge, plugged=plugged) for plugged in (True, False))
        if plugged:
            code = NoteCode.PLUGS_IN_SIGHT if edge in sight else NoteCode.PLUGS_UNSEEN
            yield Note.of(code, edge_text=edge.value, joints_text=plugged)
        if bare and edge in sight:
            yield Note.of(NoteCode.KEYS_IN_SIGHT, edge_text=edge.value, joints_text=bare)


def _entered(joints: Sequence[JointPlan], edge: Entry, *, plugged: bool) -> str:
    """The marks of the joints whose keys go in from this edge, with plugs or without."""
    return ", ".join(
        joint.joint.mark
        for joint in joints
        if (joint.joint.choices.plug is not None) is plugged and any(slot.entry is edge for slot in joint.slots)
    )
