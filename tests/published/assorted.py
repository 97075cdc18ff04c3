"""Random assemblies of every kind, their sizes such that each can be put together: what a test tries many of."""

from __future__ import annotations

from random import Random
from typing import Any

Json = dict[str, Any]


def assorted(seed: int) -> Json:
    """An assembly: the kinds take turns, the rest is chance."""
    draw = Random(seed)
    kinds = (a_mitred_frame, a_railed_frame, a_box, a_carcass, a_single_joint)
    return {"mark": "A"} | kinds[seed % len(kinds)](draw)


def a_mitred_frame(draw: Random) -> Json:
    width, thick = draw.randint(30, 70), draw.randint(18, 40)
    stock: Json = {"width": width, "thickness": thick}
    if draw.random() < 0.7:
        stock |= {"rabbet_width": draw.randint(4, 9), "rabbet_depth": draw.randint(4, thick // 2)}
    if draw.random() < 0.5:
        step = width // 4
        low = thick // 2 + 2
        stock["front"] = [
            [0, low + 3], [step, thick], [2 * step, thick], [2 * step, thick - 2],
            [3 * step, low + 1], [width, low],
        ]  # fmt: skip
    frame: Json = {"kind": "mitred_frame", "measure": draw.choice(["outside", "opening"]), "stock": stock}
    sides = draw.choice([3, 4, 4, 5, 6, 8])
    if sides == 4:
        return frame | {"width": draw.randint(300, 700), "height": draw.randint(300, 700)}
    return frame | {"sides": sides, "across": draw.randint(400, 800)}


def a_railed_frame(draw: Random) -> Json:
    thick = draw.randint(18, 28)
    frame: Json = {
        "kind": "railed_frame", "width": draw.randint(500, 900), "height": draw.randint(600, 1200),
        "thickness": thick, "stile": draw.randint(40, 90), "top_rail": draw.randint(40, 90),
        "bottom_rail": draw.randint(50, 120), "mid_rail": draw.randint(35, 60), "mid_stile": draw.randint(35, 60),
    }  # fmt: skip
    rows = draw.randint(1, 3)
    columns = [[draw.randint(90, 130), "rest"][2 - draw.randint(1, 2) :] for _ in range(rows)]
    frame["rows"] = [
        {"opening": "rest" if row == rows - 1 else draw.randint(80, 130), "columns": columns[row]}
        for row in range(rows)
    ]
    frame["through"] = draw.choice(["stiles", "rails"])
    if draw.random() < 0.4:
        # the same openings, columns first
        storeys = [[draw.randint(80, 130), "rest"][2 - draw.randint(1, 2) :] for _ in range(rows)]
        frame["columns"] = [
            {"opening": "rest" if column == rows - 1 else draw.randint(60, 100), "rows": storeys[column]}
            for column in range(rows)
        ]
        del frame["rows"]
    if draw.random() < 0.8:
        groove = draw.random() < 0.6
        wide = draw.randint(5, 8)
        frame["panel"] = {
            "fit": "groove" if groove else "rabbet", "depth": draw.randint(5, 11), "width": wide,
            "thickness": wide - (1 if groove else 2),
        }  # fmt: skip
    return frame


def a_box(draw: Random) -> Json:
    wall = draw.randint(9, 20)
    box: Json = {
        "kind": "box", "measure": draw.choice(["outside", "inside"]), "wall": wall,
        "length": draw.randint(180, 500), "width": draw.randint(120, 300), "height": draw.randint(110, 220),
        "corner": draw.choice(["mitre", "butt"]),
    }  # fmt: skip
    if draw.random() < 0.8:
        fit = draw.choice(["groove", "rabbet"])
        box["bottom"] = {"fit": fit, "thickness": draw.randint(3, 6), "depth": draw.randint(3, wall // 2)}
        box["bottom"]["up"] = draw.randint(0, 12)
    lid = draw.random() < 0.5
    if lid or draw.random() < 0.4:
        box["top"] = {"material": "ply", "thickness": 4, "depth": draw.randint(2, wall // 2), "down": 6}
        if draw.random() < 0.4:
            box["top"] = {"fit": "over", "material": "ply", "thickness": draw.randint(4, 9)}
    if lid:
        box["lid"] = {"height": draw.randint(30, 45), "kerf": 2, "lip": draw.choice([0, 6]), "clearance": 0.1}
    if draw.random() < 0.3:
        box["lining"] = 3
    if draw.random() < 0.3:
        box["veneer"] = 1
    return box


def a_carcass(draw: Random) -> Json:
    thick = draw.randint(15, 25)
    carcass: Json = {
        "kind": "carcass", "width": draw.randint(700, 1100), "height": draw.randint(700, 1500),
        "depth": draw.randint(250, 500), "thickness": thick,
        "corner": draw.choice(["mitre", "top_between", "top_over"]),
        "shelves": [240, 240 + draw.randint(60, 200)][: draw.randint(0, 2)],
        "partitions": [200, 200 + draw.randint(60, 200)][: draw.randint(0, 2)],
    }  # fmt: skip
    if draw.random() < 0.6:
        carcass["plinth"] = draw.randint(50, 110)
        if draw.random() < 0.5:
            carcass["plinth"] = {"height": carcass["plinth"], "setback": draw.randint(0, 60)}
    back = draw.random() < 0.8
    for bay in range(1, len(carcass["partitions"]) + 2):
        if draw.random() < 0.4:
            shelf = {"at": 500 + draw.randint(0, 60), "bay": bay}
            carcass["shelves"].append(shelf if back else shelf | {"setback": draw.randint(0, 40)})
    if back:
        fit = draw.choice(["groove", "rabbet"])
        carcass["back"] = {"fit": fit, "thickness": draw.randint(4, 9), "depth": draw.randint(4, thick // 2)}
        carcass["back"]["inset"] = draw.randint(8, 20) if fit == "groove" else draw.choice([0, 3])
        if fit == "rabbet" and draw.random() < 0.4:
            # what stands before a back that goes in last may be set back from the front, shelves at least as far
            least = draw.randint(1, 30)
            carcass["partitions"] = [{"at": at, "setback": draw.randint(0, least)} for at in carcass["partitions"]]
            carcass["shelves"] = [
                (shelf if isinstance(shelf, dict) else {"at": shelf})
                | {"setback": least + draw.choice([0, 0, 15])}
                for shelf in carcass["shelves"]
            ]
        elif fit == "rabbet":
            carcass["shelves"] = [
                shelf | {"setback": draw.randint(0, 40)} if isinstance(shelf, dict) else shelf
                for shelf in carcass["shelves"]
            ]
    return carcass


def a_single_joint(draw: Random) -> Json:
    return {
        "kind": "single_joint", "breadth": draw.randint(40, 120), "run": draw.randint(20, 60),
        "angle": draw.choice([90, 90, 45, 60, draw.randint(20, 85)]),
        "behind": [draw.randint(60, 200), draw.randint(60, 200)],
    }  # fmt: skip
