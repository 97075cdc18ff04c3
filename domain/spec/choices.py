"""What the user may pin about the keys: for a project's assembly, or for one of its joints."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from domain.spec.catalogue import Plug
from domain.spec.fields import Name, Room, Spec


class Entry(StrEnum):
    """The edge that keys are driven in from."""

    BACK = "back"
    FRONT = "front"
    BOTH = "both"
    TOP = "top"
    BOTTOM = "bottom"


class Middle(StrEnum):
    """What holds the bare middle of a long edge, between the keys that reach in from its ends."""

    TENONS = "tenons"
    SCREWS = "screws"

    @property
    def one(self) -> str:
        """One of them, with its article."""
        return "a loose tenon" if self is Middle.TENONS else "a screw"

    @property
    def bare(self) -> str:
        """One of them beside its figure in a drawing."""
        return "tenon" if self is Middle.TENONS else "screw"

    @property
    def words(self) -> str:
        """Several of them."""
        return "loose tenons" if self is Middle.TENONS else "screws"


class KeyChoices(Spec):
    """Pinned choices; what is left open the planner decides."""

    section: Name | None = None
    count: Annotated[int, Field(strict=True, ge=1, le=40)] | None = None
    entry: Entry | None = None
    plug: Plug | None = None
    recess: Room | None = None
    middle: Middle | None = None

    def overridden_by(self, other: KeyChoices | None) -> KeyChoices:
        """These choices with ``other``'s on top, field by field."""
        if other is None:
            return self
        return self.model_copy(update={name: getattr(other, name) for name in other.model_fields_set})


NO_CHOICES = KeyChoices()
