"""What the figures of a joint are called, on every face."""

from __future__ import annotations

from enum import StrEnum


class Fact(StrEnum):
    """What each figure of a joint is called, as a name beside it and as the heading of its column."""

    FACE = "Mating face"
    SECTION = "Section"
    CUTTER = "Cutter"
    TIP = "Cutter tip"
    PROJECTION = "Projection"
    SNUG = "Snug projection"
    CENTRES = "Slot centres"
    ORIGIN = "Centres measured from"
    DEPTH = "Depth"
    STOP = "Depth stop"
    EDGES = "Driven in from"
    KEYS = "Keys in driving order"
    END = "Leading end"
    SLOTS = "Slots"
    RECESS = "Recess"
    REACH = "Reach"
    HOLD = "Keys fill"
    MIDDLE = "Between the keys"
