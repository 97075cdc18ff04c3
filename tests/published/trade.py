"""Invented keys, stock and assemblies for the checks in this folder: random, but of workshop sizes."""

from __future__ import annotations

from random import Random
from typing import Any

from domain.spec.assemblies import Box, Carcass, MitredFrame, RailedFrame, SingleJoint
from domain.spec.catalogue import Section
from domain.spec.rules import Rules


def section(name: str, waist: float, half_depth: float, stock: tuple[float, float], **more: Any) -> Section:
    """A key section whose cutters are a little wider than the key, as bought."""
    tip = round(waist + 2 * (half_depth + 0.15) * 0.21255656, 3)
    fields: dict[str, Any] = {
        "flank": 12,
        "tip_diameter": tip,
        "free_tip_diameter": round(tip + 0.3, 3),
        "lengths": [16, 22, 38, 60],
        "drive_limit": 60,
        "stock_from": stock[0],
        "stock_to": stock[1],
    }
    return Section.model_validate({"name": name, "waist": waist, "half_depth": half_depth} | fields | more)


SMALL = section("8", 6.2, 4, (8, 15), lengths=[8, 12, 16, 22, 38], drive_limit=38, free_tip_diameter=None)
MIDDLE = section("14", 11.2, 6, (14, 40))
LARGE = section("20", 15.4, 10, (32, 80), lengths=[22, 38, 60, 75])
SECTIONS = (SMALL, section("10", 7.8, 5, (10, 22)), MIDDLE, LARGE)
EXACT = Rules.model_validate({"setting_step": 0, "cross_grooves": False})
"""The default rules without a setting step, beside grooves: what the geometry alone says."""


def tenths(rng: Random, low: float, high: float) -> float:
    """A size to 0.1 mm."""
    return round(rng.uniform(low, high), 1)


def random_rules(rng: Random) -> Rules:
    """Rules as different shops keep them that cross no grooves: ``test_crossings_in_solids`` does."""
    return Rules.model_validate(
        {
            "wall": tenths(rng, 1, 4),
            "skin": tenths(rng, 1, 3),
            "web": tenths(rng, 1, 5),
            "preload": rng.choice([0, 0.05, 0.1, 0.2]),
            "setting_step": rng.choice([0, 0, 0.5, 0.79375]),
            "cross_grooves": False,
        }
    )


def random_front(rng: Random, width: float, thickness: float, floor: float) -> list[list[float]]:
    """A moulded front as points (x, height): slopes and steps, nowhere below ``floor``."""
    points = [[0.0, thickness]]
    for x in sorted({tenths(rng, 1, width - 1) for _ in range(rng.randint(0, 4))}):
        if rng.random() < 0.3:
            points.append([x, points[-1][1]])
        points.append([x, tenths(rng, max(floor, thickness * 0.5), thickness)])
    return [*points, [width, tenths(rng, max(floor, thickness * 0.4), thickness)]]


def random_frame(rng: Random, sides: int | None = None) -> MitredFrame:
    """A mitred frame of 3 to 12 sides: plain, rabbeted, moulded."""
    sides = sides or rng.randint(3, 12)
    width, thickness = tenths(rng, 20, 90), tenths(rng, 12, 60)
    stock: dict[str, Any] = {"width": width, "thickness": thickness}
    floor = 5.0
    if rng.random() < 0.6:
        stock["rabbet_width"] = tenths(rng, 4, min(12, width / 3))
        stock["rabbet_depth"] = tenths(rng, 4, thickness * 0.5)
        floor = stock["rabbet_depth"] + 2
    if rng.random() < 0.5:
        stock["front"] = random_front(rng, width, thickness, floor)
    size = 2 * width + tenths(rng, 60, 600)
    sizes = {"width": size, "height": size + tenths(rng, 0, 300)} if sides == 4 else {"across": size}
    fields = {"mark": "F", "sides": sides, "measure": "outside", "stock": stock, **sizes}
    fields["keys"] = {"entry": rng.choice(["back", "back", "both"])}
    return MitredFrame.model_validate(fields)


def random_box(rng: Random) -> Box:
    """A box, mitred or butted, with panels let in and perhaps a sawn-off lid."""
    wall, height = tenths(rng, 9, 25), tenths(rng, 60, 240)
    fields: dict[str, Any] = {
        "mark": "B",
        "measure": "outside",
        "length": 320,
        "width": 220,
        "height": height,
        "wall": wall,
        "corner": rng.choice(["mitre", "butt"]),
    }
    if rng.random() < 0.8:
        fields["bottom"] = {
            "fit": rng.choice(["groove", "rabbet"]),
            "thickness": tenths(rng, 3, 8),
            "depth": tenths(rng, 2, wall / 2),
            "up": tenths(rng, 0, 10),
        }
    lid = rng.random() < 0.6
    if lid or rng.random() < 0.5:
        depth = tenths(rng, 2, wall / 2)
        fields["top"] = {"material": "ash", "thickness": 4, "depth": depth, "down": tenths(rng, 3, 8)}
        if rng.random() < 0.3:
            fields["top"] = {"fit": "over", "material": "ash", "thickness": 4}
    if lid:
        lip = tenths(rng, 0, 8)
        fields["lid"] = {"height": tenths(rng, 24 + lip, height - 20), "kerf": 2, "lip": lip}
    return Box.model_validate(fields)


def random_carcass(rng: Random) -> Carcass:
    """A carcass with a shelf, perhaps a partition and a back let in."""
    thick = tenths(rng, 14, 30)
    fields: dict[str, Any] = {
        "mark": "C",
        "width": 700,
        "height": 800,
        "depth": tenths(rng, 150, 450),
        "thickness": thick,
        "corner": rng.choice(["mitre", "top_between", "top_over"]),
        "shelves": [300],
        "partitions": rng.choice([[], [330]]),
    }
    if rng.random() < 0.7:
        fields["back"] = {
            "fit": rng.choice(["groove", "rabbet"]),
            "thickness": tenths(rng, 3, 9),
            "depth": tenths(rng, 3, thick / 2),
            "inset": tenths(rng, 0, 20),
        }
    return Carcass.model_validate(fields)


def random_railed_frame(rng: Random) -> RailedFrame:
    """A door with a mid rail and mid stiles, perhaps with panels."""
    thickness = tenths(rng, 16, 40)
    bars = {name: tenths(rng, 30, 110) for name in ("stile", "top_rail", "bottom_rail", "mid_stile")}
    bars["mid_rail"] = tenths(rng, 25, 45)
    fields: dict[str, Any] = {"mark": "R", "width": 700, "height": 900, "thickness": thickness, **bars}
    fields["rows"] = [{"opening": 180, "columns": [180, "rest"]}, {"opening": "rest", "columns": ["rest", 180]}]
    if rng.random() < 0.6:
        across = tenths(rng, 3, thickness / 3)
        fields["panel"] = {
            "fit": rng.choice(["groove", "rabbet"]),
            "depth": tenths(rng, 5, 12),
            "width": across,
            "thickness": across,
        }
    return RailedFrame.model_validate(fields)


def random_single_joint(rng: Random) -> SingleJoint:
    """A joint typed in by hand, at any angle, from one edge or both."""
    return SingleJoint.model_validate(
        {
            "mark": "L",
            "breadth": tenths(rng, 25, 200),
            "run": tenths(rng, 14, 150),
            "angle": rng.choice([90, 90, 45, tenths(rng, 25, 89)]),
            "behind": [tenths(rng, 20, 60), tenths(rng, 20, 60)],
            "entry": rng.choice(["back", "both"]),
        }
    )
