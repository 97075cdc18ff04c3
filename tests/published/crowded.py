"""Random assemblies whose joints come close to one another in their pieces: what could run slots together."""

from __future__ import annotations

from random import Random
from typing import Any

Json = dict[str, Any]


def crowded(seed: int) -> Json:
    """A carcass with boards close to its corners and to each other, or a frame with bars close to its own."""
    draw = Random(seed)
    return {"mark": "A"} | (a_crowded_carcass, a_crowded_frame)[seed % 2](draw)


def little(draw: Random) -> float:
    """Hardly any room between two boards, mm."""
    return draw.choice([0.1, 0.5, 1, 2, 3, 4, 6, 9])


def a_crowded_carcass(draw: Random) -> Json:
    thick, width, height = draw.randint(12, 28), draw.randint(400, 700), draw.randint(300, 600)
    corner = draw.choice(["mitre", "top_between", "top_over"])
    floor, ceiling = thick, height - thick
    left = thick + little(draw)
    choices: list[list[float]] = [[], [left], [left, round(left + thick + 100 + little(draw), 3)], [width // 2]]
    partitions = draw.choice(choices)
    low = round(floor + little(draw), 3)
    high = round(ceiling - thick - little(draw), 3)
    middle = draw.randint(floor + 3 * thick, ceiling - 4 * thick)
    shelves: list[Any] = []
    for bay in range(1, len(partitions) + 2):
        heights = [low, middle + little(draw) * bay, high]
        shelves += [{"at": round(at, 3), "bay": bay} for at in heights if draw.random() < 0.7]
    carcass: Json = {
        "kind": "carcass", "width": width, "height": height, "depth": draw.randint(120, 300), "thickness": thick,
        "corner": corner, "partitions": partitions, "shelves": shelves,
    }  # fmt: skip
    if draw.random() < 0.3:
        carcass["back"] = {"fit": "groove", "thickness": 5, "depth": draw.randint(3, thick // 2), "inset": 10}
    return carcass


def a_crowded_frame(draw: Random) -> Json:
    frame: Json = {
        "kind": "railed_frame", "width": draw.randint(400, 700), "height": draw.randint(400, 800),
        "thickness": draw.randint(18, 28), "stile": draw.randint(30, 90), "top_rail": draw.randint(30, 90),
        "bottom_rail": draw.randint(30, 90), "mid_rail": draw.randint(18, 60), "mid_stile": draw.randint(18, 60),
        "through": draw.choice(["stiles", "rails"]),
    }  # fmt: skip
    counted: list[list[Any]] = [
        [little(draw), "rest"],
        ["rest", little(draw)],
        ["rest"],
        [little(draw), "rest", little(draw)],
    ]
    outer: list[Json] = [{"opening": draw.choice([40, 60, 4])}, {"opening": "rest"}]
    if draw.random() < 0.5:
        del outer[0]
    across, inner = draw.choice([("rows", "columns"), ("columns", "rows")])
    frame[across] = [{**one, inner: draw.choice(counted)} for one in outer]
    return frame
