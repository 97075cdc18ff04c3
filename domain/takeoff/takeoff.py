"""The takeoff: everything counted, ready to be shown, bought and printed."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from domain.moving.movement import Movement
from domain.notes import Note
from domain.parts import Expansion
from domain.planning.plans import JointPlan
from domain.spec.catalogue import key_item
from domain.spec.choices import Middle
from domain.takeoff.shelves import ShelfSag


@dataclass(frozen=True, slots=True)
class KeyCount:
    """Keys of one section and length (mm) to buy."""

    section: str
    length: float
    used: int
    tests: int
    spare: int

    @property
    def item(self) -> str:
        """What it is called on the packet and in orders: section × length, both in mm, in any project."""
        return key_item(self.section, self.length)

    @property
    def total(self) -> int:
        """Used, tests and spares together."""
        return self.used + self.tests + self.spare


@dataclass(frozen=True, slots=True)
class PlugCount:
    """Accent plugs of one wood, section and height (mm) to buy."""

    material: str
    section: str
    height: float
    used: int
    spare: int

    @property
    def total(self) -> int:
        """Used and spares together."""
        return self.used + self.spare


@dataclass(frozen=True, slots=True)
class FasteningCount:
    """What holds the bare middles of long edges, of one sort."""

    sort: Middle
    used: int
    spare: int

    @property
    def total(self) -> int:
        """Used and spares together."""
        return self.used + self.spare


@dataclass(frozen=True, slots=True)
class AssemblyTakeoff:
    """One assembly: what it expands into, its joints planned, and how far its shelves sag under their load.

    ``movement`` is what the project's climate does to it; None where the project has none.
    """

    expansion: Expansion
    joints: tuple[JointPlan, ...]
    sags: tuple[ShelfSag, ...] = ()
    movement: Movement | None = None

    @property
    def makeable(self) -> bool:
        """True where every joint has a plan."""
        return all(joint.plan is not None for joint in self.joints)


@dataclass(frozen=True, slots=True)
class Totals:
    """What to buy: keys, plugs, glue in grams; what was chosen for the bare middles of long edges."""

    keys: tuple[KeyCount, ...]
    plugs: tuple[PlugCount, ...]
    glue_grams: float
    fastenings: tuple[FasteningCount, ...] = ()

    @property
    def glue_to_buy(self) -> int:
        """Whole grams of glue that are enough."""
        return whole_grams(self.glue_grams)


def whole_grams(grams: float) -> int:
    """The least whole number of grams that is enough.

    >>> whole_grams(18.39), whole_grams(3.0000000001)
    (19, 3)
    """
    # a sum of floats may lie a hair above a whole gram
    return ceil(round(grams, 6))


@dataclass(frozen=True, slots=True)
class Takeoff:
    """A whole project's takeoff."""

    project: str
    assemblies: tuple[AssemblyTakeoff, ...]
    totals: Totals
    notes: tuple[Note, ...] = ()

    @property
    def makeable(self) -> bool:
        """True where every joint of every assembly can be made."""
        return all(assembly.makeable for assembly in self.assemblies)

    @property
    def joint_count(self) -> int:
        """Joints of the whole project."""
        return sum(joint.joint.quantity for assembly in self.assemblies for joint in assembly.joints)

    @property
    def refused(self) -> tuple[JointPlan, ...]:
        """Joints that cannot be made; their notes say why."""
        return tuple(joint for assembly in self.assemblies for joint in assembly.joints if joint.plan is None)
