"""Projects of any size for the bench: the demo's assemblies over and over, every one a little different."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

DEMO = Path(__file__).parents[2] / "shared" / "demo"


def project(count: int) -> dict[str, Any]:
    """A self-contained project document with ``count`` distinct assemblies, none like another."""
    shop = json.loads((DEMO / "shop.json").read_text(encoding="utf-8"))
    patterns = [
        assembly
        for name in shop["projects"]
        for assembly in json.loads((DEMO / name).read_text(encoding="utf-8"))["assemblies"]
    ]
    assemblies = [_varied(patterns[index % len(patterns)], index) for index in range(count)]
    return {
        "format": "dovetally-project",
        "version": 1,
        "name": f"{count} assemblies",
        "sections": shop["sections"],
        "assemblies": assemblies,
    }


def _varied(pattern: dict[str, Any], index: int) -> dict[str, Any]:
    """The pattern with its own mark and, by whole micrometres, its own mating faces."""
    assembly = copy.deepcopy(pattern)
    assembly["mark"] = f"M{index}"
    more = index / 1000
    match assembly["kind"]:
        case "mitred_frame":
            stock = assembly["stock"]
            stock["width"] += more
            if "front" in stock:
                stock["front"][-1][0] = stock["width"]
        case "railed_frame":
            assembly["top_rail"] += more
            assembly["height"] += 2 * more
        case "box":
            assembly["height"] = 101.6 + more
        case "carcass":
            assembly["depth"] += more
    return assembly
