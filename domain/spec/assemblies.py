"""The five kinds of assembly, as typed in. Field names are those of the project file."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field, PlainSerializer, PlainValidator, StrictBool, WithJsonSchema, field_validator

from domain.lengths import HOW_TO_WRITE, ZERO, Length, LengthError, parse_length
from domain.problem_codes import ProblemCode
from domain.problems import Refused
from domain.spec.choices import NO_CHOICES, Entry, KeyChoices
from domain.spec.fields import LENGTH_SCHEMA, Mark, Name, Number, OneLength, Quantity, Room, Size, Spec, as_number
from domain.spec.wood import Sawn


class FrameMeasure(StrEnum):
    """What a mitred frame's width and height are measured over."""

    OUTSIDE = "outside"
    OPENING = "opening"
    RABBET = "rabbet"
    GLASS = "glass"


class BoxMeasure(StrEnum):
    """What a box's length, width and height are measured over."""

    OUTSIDE = "outside"
    INSIDE = "inside"


class BoxCorner(StrEnum):
    """How a box's walls meet."""

    MITRE = "mitre"
    BUTT = "butt"


class CarcassCorner(StrEnum):
    """How a carcass's sides meet its top."""

    MITRE = "mitre"
    TOP_BETWEEN = "top_between"
    TOP_OVER = "top_over"


class Fit(StrEnum):
    """How a panel is let in."""

    GROOVE = "groove"
    RABBET = "rabbet"


REST: Literal["rest"] = "rest"


def _opening(value: object) -> Length | Literal["rest"]:
    if value == REST:
        return REST
    try:
        length = parse_length(value)
    except LengthError:
        raise Refused(ProblemCode.NOT_AN_OPENING, how_text=HOW_TO_WRITE) from None
    if length.nm <= 0:
        raise Refused(ProblemCode.NOT_ABOVE_ZERO_OR_REST)
    return length


Opening = Annotated[
    Length | Literal["rest"],
    PlainValidator(_opening),
    PlainSerializer(lambda value: value if value == REST else as_number(value)),
    WithJsonSchema({"anyOf": [LENGTH_SCHEMA, {"const": REST}]}),
]
"""A length, or "rest": one a list, which takes what is left."""


EdgeInSight = Literal["front", "back", "top", "bottom"]


class AssemblyBase(Spec):
    """What every assembly has. ``show``: the edges that are looked at; None: those of its kind as a rule.

    ``species`` is a name of the table of movement, where the material's does not say it; ``cut`` is how its boards
    were sawn. ``one_length``: its members come from one length, so that the grain runs on round it.
    """

    mark: Mark
    name: Name | None = None
    quantity: Quantity = 1
    material: Name | None = None
    species: Name | None = None
    cut: Sawn | None = None
    one_length: StrictBool | None = None
    show: Annotated[tuple[EdgeInSight, ...], Field(max_length=4)] | None = None
    keys: KeyChoices = NO_CHOICES
    joints: dict[str, KeyChoices] = Field(default={}, max_length=500)


class FrameStock(Spec):
    """A frame's wood in section: width, thickness, a rabbet at the inner back edge, a shaped front.

    ``front`` is the profile as points (x, height): x from the outer edge, height from the back.
    """

    width: Size
    thickness: Size
    rabbet_width: Room = ZERO
    rabbet_depth: Room = ZERO
    front: Annotated[tuple[tuple[Room, Size], ...], Field(min_length=2, max_length=200)] | None = None


class MitredFrame(AssemblyBase):
    """A regular frame of 3 to 12 sides; four sides may be a rectangle."""

    kind: Literal["mitred_frame"] = "mitred_frame"
    sides: Annotated[int, Field(strict=True, ge=3, le=12)] = 4
    measure: FrameMeasure
    width: Size | None = None
    height: Size | None = None
    across: Size | None = None
    stock: FrameStock
    fit_allowance: Room = Length.from_mm(3)


class Row(Spec):
    """A row of a railed frame, from the top: its opening height and its openings from the left."""

    opening: Opening
    columns: Annotated[tuple[Opening, ...], Field(min_length=1, max_length=20)] = (REST,)


class Column(Spec):
    """A column of a railed frame, from the left: its opening width and its openings from the top."""

    opening: Opening
    rows: Annotated[tuple[Opening, ...], Field(min_length=1, max_length=20)] = (REST,)


class FramePanel(Spec):
    """A panel in every opening. ``depth`` runs into the edge, ``width`` along the thickness."""

    fit: Fit
    depth: Size
    width: Size
    thickness: Size


class Through(StrEnum):
    """What runs through at the corners of a railed frame."""

    STILES = "stiles"
    RAILS = "rails"


ONE_ROW = (Row(opening=REST),)


class RailedFrame(AssemblyBase):
    """Stiles and rails; ``through`` says which of them run through at the corners.

    With rows, rails run from stile to stile and mid stiles stand between them. With columns, mid stiles run from
    rail to rail and mid rails lie between them.
    """

    kind: Literal["railed_frame"] = "railed_frame"
    width: Size
    height: Size
    thickness: Size
    stile: Size
    top_rail: Size
    bottom_rail: Size
    mid_rail: Size | None = None
    mid_stile: Size | None = None
    through: Through = Through.STILES
    rows: Annotated[tuple[Row, ...], Field(min_length=1, max_length=20)] = ONE_ROW
    columns: Annotated[tuple[Column, ...], Field(min_length=1, max_length=20)] | None = None
    panel: FramePanel | None = None


class BoxBottom(Spec):
    """The bottom panel: ``depth`` into the wall, its underside ``up`` from the wall's bottom edge."""

    fit: Fit
    thickness: Size
    depth: Size
    up: Room = ZERO


class TopFit(StrEnum):
    """Where a box's top lies."""

    GROOVE = "groove"
    OVER = "over"


class BoxTop(Spec):
    """A top panel or glazing: in a groove, its upper face ``down`` from the wall's top edge, or over the walls.

    Only a groove has ``depth`` and ``down``.
    """

    material: Name
    fit: TopFit = TopFit.GROOVE
    thickness: Size
    depth: Size | None = None
    down: Size | None = None


class BoxLid(Spec):
    """A lid sawn off the glued box: its height, top and all, the saw's kerf, the lip and its clearance."""

    height: Size
    kerf: Size
    lip: Room = ZERO
    clearance: Room = ZERO


class Box(AssemblyBase):
    """Four walls, mitred or butted, with what is let into them."""

    kind: Literal["box"] = "box"
    measure: BoxMeasure
    length: Size
    width: Size
    height: Size
    wall: Size
    corner: BoxCorner
    bottom: BoxBottom | None = None
    top: BoxTop | None = None
    lid: BoxLid | None = None
    lining: Size | None = None
    veneer: Size | None = None


class CarcassBack(Spec):
    """The back: ``depth`` into the panels, ``inset`` from their back edges."""

    fit: Fit
    thickness: Size
    depth: Size
    inset: Room = ZERO


class Shelf(OneLength):
    """A fixed shelf, ``at`` its lower face from the outside bottom; a length says no more than that.

    It lies in every bay, or in one: the ``bay``-th from the left. ``setback``: so far behind the front edges.
    """

    rule = "at"

    at: Size
    bay: Annotated[int, Field(strict=True, ge=1, le=41)] | None = None
    setback: Room = ZERO


class Partition(OneLength):
    """A partition, ``at`` its left face from the outside left; ``setback``: so far behind the front edges."""

    rule = "at"

    at: Size
    setback: Room = ZERO


class Plinth(OneLength):
    """The plinth's height, and how far its front stands back from the front edges, for the toes."""

    rule = "height"

    height: Size
    setback: Room = ZERO


class Carcass(AssemblyBase):
    """Sides, top, bottom, fixed shelves and partitions, a back, a plinth.

    Partitions run from bottom to top and part the inside into bays; shelves are cut to the bays. Shelf and
    partition positions run to the lower or left face, from the outside bottom or left. ``shelf_load`` is what is
    to stand on every shelf, in kilograms for each metre of its length.
    """

    kind: Literal["carcass"] = "carcass"
    width: Size
    height: Size
    depth: Size
    thickness: Size
    corner: CarcassCorner
    shelves: Annotated[tuple[Shelf, ...], Field(max_length=160)] = ()
    partitions: Annotated[tuple[Partition, ...], Field(max_length=40)] = ()
    back: CarcassBack | None = None
    plinth: Plinth | None = None
    shelf_load: Annotated[Number, Field(gt=0, le=1_000)] | None = None


class SingleJoint(AssemblyBase):
    """One joint typed in by hand: breadth along the joint line, run, angle, wood behind each side."""

    kind: Literal["single_joint"] = "single_joint"
    breadth: Size
    run: Size
    angle: Annotated[Number, Field(ge=15, le=90)] = 90
    behind: tuple[Size, Size]
    entry: Entry = Entry.BACK

    @field_validator("entry")
    @classmethod
    def _back_or_both(cls, entry: Entry) -> Entry:
        if entry not in {Entry.BACK, Entry.BOTH}:
            raise Refused(ProblemCode.NOT_THE_WORD, words_text='"back" or "both"')
        return entry


Assembly = Annotated[MitredFrame | RailedFrame | Box | Carcass | SingleJoint, Field(discriminator="kind")]
