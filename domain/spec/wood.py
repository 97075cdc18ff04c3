"""The wood of a project: what it is cut from, what was changed on its parts list, the air that it goes into."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import Annotated, Any

from pydantic import ConfigDict, Field, model_validator

from domain.problem_codes import ProblemCode
from domain.problems import Path, Problem, Refused
from domain.spec.fields import Money, Name, Number, Room, Size, Spec


class Sawn(StrEnum):
    """How a board was sawn from its log: the growth rings lie along its face, or stand across it.

    Unknown moves as flat, which moves more.
    """

    FLAT = "flat"
    QUARTER = "quarter"
    UNKNOWN = "unknown"


class Grain(StrEnum):
    """Along which side of a sheet a piece's length lies."""

    LENGTH = "length"
    WIDTH = "width"
    ANY = "any"


class Air(Spec):
    """Where wood lies, by the moisture content that it comes to there (%), or by the air: °C and % humidity.

    Moisture up to 30 %, where wood no longer moves; temperatures are those that the handbook's table goes over.
    """

    moisture: Annotated[Number, Field(ge=0, le=30)] | None = None
    temperature: Annotated[Number, Field(ge=-1.2, le=54.5)] | None = None
    humidity: Annotated[Number, Field(ge=0, le=100)] | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Air:
        by_air = (self.temperature is not None, self.humidity is not None)
        if any(by_air) == (self.moisture is not None) or any(by_air) != all(by_air):
            raise Refused(ProblemCode.MOISTURE_OR_AIR)
        return self


class Climate(Spec):
    """The air of the shop, and of the place that the work goes to, in one season and in the other."""

    model_config = ConfigDict(serialize_by_alias=True)

    from_: Air = Field(alias="from")
    to: Air
    other_to: Air | None = None


class WoodStock(Spec):
    """A length of stock, or with a width a sheet.

    No ``price``: it is in hand and paid for. No ``count``: as many as are needed.
    """

    length: Size
    width: Size | None = None
    price: Money | None = None
    count: Annotated[int, Field(strict=True, ge=1, le=100_000)] | None = None


class WoodToCut(Spec):
    """What a wood of the parts list may be cut from: its ``item`` as the list calls it, such as "ash 45 × 24".

    Without an item it goes for every wood that has none of its own, lengths for bars and sheets for sheets. No
    ``stock``: the stockroom's, sawn as is said here. ``trim`` comes off every end or edge; an offcut below
    ``least_offcut`` is waste; no kerf, trim or least offcut: the rules' own. ``nested``: pieces that are mitred
    alike lie tip to tip, where the saw turns.
    """

    item: Name | None = None
    kerf: Room | None = None
    trim: Room | None = None
    least_offcut: Room | None = None
    nested: bool | None = None
    stock: Annotated[tuple[WoodStock, ...], Field(max_length=100)] = ()

    @model_validator(mode="before")
    @classmethod
    def _one_length(cls, value: object) -> object:
        """A length or a sheet alone stands for an entry of nothing else."""
        if isinstance(value, Mapping) and "length" in value and "stock" not in value:
            return {"stock": [value]}
        return value


class PartChange(Spec):
    """What somebody wants otherwise than the plan has it, of one part on the parts list."""

    rough_length: Size | None = None
    rough_width: Size | None = None
    rough_thickness: Size | None = None
    material: Name | None = None
    grain: Grain | None = None
    note: Name | None = None


WoodsToCut = Annotated[tuple[WoodToCut, ...], Field(max_length=500)]
PartChanges = Annotated[dict[str, PartChange], Field(max_length=5_000)]


def check_woods(woods: tuple[WoodToCut, ...]) -> Iterator[Problem]:
    """What fields cannot see: a wood named twice, lengths and sheets under one name."""
    first: dict[str | None, int] = {}
    for index, wood in enumerate(woods):
        if wood.item is not None and wood.item in first:
            path: Path = (index, "item")
            place = f"stock[{first[wood.item]}]"
            yield Problem.of(path, wood.item, ProblemCode.USED_ALREADY, place_text=place)
        first.setdefault(wood.item, index)
        if wood.item is not None and len({each.width is None for each in wood.stock}) > 1:
            yield Problem.of((index, "stock"), wood.item, ProblemCode.BARS_AND_SHEETS)


def wood_document(spec: Climate | WoodToCut | PartChange) -> dict[str, Any]:
    """One of these as a project file writes it: its fields that say something."""
    return spec.model_dump(mode="json", exclude_none=True)
