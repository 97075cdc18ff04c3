"""The form that books in what came of an order: whole packs, line by line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from webapp.store.orders import PlacedOrder

_LONGEST = 9


@dataclass(frozen=True, slots=True)
class Received:
    """What was typed, what it means (packs by the line's position), and what is wrong with it, by field."""

    texts: Mapping[str, str]
    packs: Mapping[int, int] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


def field_of(position: int) -> str:
    """The name of a line's field."""
    return f"packs-{position}"


def still_to_come(order: PlacedOrder) -> dict[int, int]:
    """Packs still to come, by position; lines that are complete are not there."""
    return {line.position: line.to_come for line in order.lines if line.to_come}


def read_received(order: PlacedOrder, texts: Mapping[str, str]) -> Received:
    """The packs that were typed; an empty field is none. At least one must have come."""
    packs: dict[int, int] = {}
    errors: dict[str, str] = {}
    for position, most in still_to_come(order).items():
        name = field_of(position)
        text = texts.get(name, "")
        if not text:
            continue
        if not (text.isascii() and text.isdigit() and len(text) <= _LONGEST):
            errors[name] = f"write whole packs, from 0 to {most}"
        elif int(text) > most:
            errors[name] = f"only {most} {'pack is' if most == 1 else 'packs are'} still to come"
        elif int(text):
            packs[position] = int(text)
    if not packs and not errors:
        errors[field_of(next(iter(still_to_come(order)), 1))] = "enter what came, at least one pack of one line"
    return Received(texts, packs, errors)
