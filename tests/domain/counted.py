"""What is asked of a takeoff that was counted by hand: parts, joints and keys, line by line."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from tests.domain.builders import Json

Key = tuple[str, str]
"""A section by its name, and one of its cutters."""


def near(value: float) -> Any:
    """To the contract's 0.001, whichever way a half was rounded."""
    return pytest.approx(value, abs=6e-4)


def assembly(document: Json, mark: str) -> Json:
    one: Json
    (one,) = [one for one in document["assemblies"] if one["mark"] == mark]
    return one


def assert_members(document: Json, mark: str, *lines: tuple[Any, ...]) -> None:
    """mark, name, quantity, length, short length or None, width, thickness, ends."""
    found = assembly(document, mark)["members"]
    assert len(found) == len(lines)
    for member, (name, called, quantity, length, short, width, thickness, angle) in zip(found, lines, strict=True):
        assert (member["mark"], member["name"], member["quantity"]) == (name, called, quantity)
        assert [member["length"], member["width"], member["thickness"]] == near([length, width, thickness])  # type: ignore[arg-type]
        assert member["ends"] == [angle, angle]
        assert member.get("short_length") == (None if short is None else near(short))


def assert_panels(document: Json, mark: str, *lines: tuple[Any, ...]) -> None:
    """mark, name, quantity, length, width, thickness; of glazing 0 and the room in its rabbet."""
    found = assembly(document, mark)["panels"]
    assert len(found) == len(lines)
    for panel, (name, called, quantity, *sizes) in zip(found, lines, strict=True):
        assert (panel["mark"], panel["name"], panel["quantity"]) == (name, called, quantity)
        told = [panel[size] for size in ("length", "width", "thickness", "room") if size in panel]
        assert told == near(sizes)  # type: ignore[arg-type]


def assert_joint(
    projections: Mapping[Key, tuple[float, float]],
    document: Json,
    mark: str,
    *,
    kind: str,
    quantity: int,
    members: list[str],
    face: tuple[float, float, float],
    key: Key,
    centres: list[float],
    entry: str,
    keys: list[float],
    depth: float,
    recess: float,
    reach: float,
    notes: list[str],
) -> None:
    """One joint as it was worked out.

    ``projections`` are snug and started from; ``face`` is angle, breadth, run; ``notes`` are how its sentences
    begin.
    """
    (joint,) = [one for one in assembly(document, mark.split("-")[0])["joints"] if one["mark"] == mark]
    angle, breadth, run = face
    assert (joint["kind"], joint["quantity"], joint["members"]) == (kind, quantity, members)
    assert [joint["angle"], joint["breadth"], joint["run"]] == near([angle, breadth, run])  # type: ignore[arg-type]
    assert (joint["section"], joint["cutter"]) == key
    assert [joint["snug_projection"], joint["projection"]] == near(list(projections[key]))  # type: ignore[arg-type]
    entries = ["back", "front"] if entry == "both" else [entry]
    assert joint["slots"] == [
        {"entry": each, "centre": centre, "depth": near(depth), "keys": keys, "recess": near(recess)}
        for each in entries
        for centre in centres
    ]
    assert joint["reach"] == near(reach)
    assert joint["hold"] == near(len(entries) * sum(keys) / run)
    assert joint["depth_stop"] == near(depth)  # the stop is zeroed for the cutter
    assert len(joint["notes"]) == len(notes)
    for note, beginning in zip(joint["notes"], notes, strict=True):
        assert note.startswith(beginning)


def key_lines(document: Json) -> list[tuple[Any, ...]]:
    """section, length, used, tests, spare, total."""
    return [
        (key["section"], key["length"], key["used"], key["tests"], key["spare"], key["total"])
        for key in document["keys"]
    ]
