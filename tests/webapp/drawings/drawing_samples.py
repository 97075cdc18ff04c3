"""Assemblies of every kind, planned with the demo workshop's sections, and a reader of the SVG they become."""

from __future__ import annotations

import json
import re
from functools import cache
from typing import Any
from xml.etree import ElementTree as ET

from pydantic import TypeAdapter
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from domain.spec.assemblies import Assembly
from domain.spec.catalogue import Section
from domain.spec.rules import Rules
from domain.takeoff.build import take_off_assembly
from domain.takeoff.takeoff import AssemblyTakeoff
from tests.workshop import WORKSHOP
from webapp.drawings.model import Drawing
from webapp.drawings.svg import svg as write_svg

DEMO_SHOP = WORKSHOP / "shop.json"
SVG = "{http://www.w3.org/2000/svg}"
ASSEMBLY: TypeAdapter[Assembly] = TypeAdapter(Assembly)
MOULDED = {"width": 45, "thickness": 20, "rabbet_width": 6, "rabbet_depth": 10} | {
    "front": [[0, 20], [30, 20], [36, 18], [41, 15], [45, 12]]
}
GROOVE = {"fit": "groove", "depth": 10, "width": 6, "thickness": 6}
BOTTOM = {"fit": "groove", "thickness": 5, "depth": 4, "up": 6}
KINDS: dict[str, dict[str, Any]] = {
    "moulded frame": {"kind": "mitred_frame", "measure": "outside", "width": 400, "height": 300, "stock": MOULDED},
    "triangle": {"kind": "mitred_frame", "sides": 3, "across": 420} | {"stock": {"width": 40, "thickness": 22}},
    "hexagon": {"kind": "mitred_frame", "sides": 6, "across": 420} | {"stock": {"width": 40, "thickness": 22}},
    "railed frame": {"kind": "railed_frame", "width": 600, "height": 720, "thickness": 20}
    | {"stile": 45, "top_rail": 45, "bottom_rail": 60, "mid_rail": 38, "mid_stile": 38, "panel": GROOVE}
    | {"rows": [{"opening": 140}, {"opening": "rest", "columns": [200, "rest"]}]},
    "box with lid": {"kind": "box", "length": 280, "width": 180, "height": 110, "wall": 16, "corner": "mitre"}
    | {"bottom": BOTTOM, "top": {"material": "ash", "thickness": 3, "depth": 4, "down": 4}}
    | {"lid": {"height": 40, "kerf": 2, "lip": 6, "clearance": 0.1}},
    "butted box": {"kind": "box", "length": 280, "width": 180, "height": 90, "wall": 14, "corner": "butt"},
    "carcass": {"kind": "carcass", "width": 800, "height": 900, "depth": 350, "thickness": 18}
    | {"corner": "top_between", "shelves": [300, 600], "partitions": [400], "plinth": 80}
    | {"back": {"fit": "groove", "thickness": 6, "depth": 8, "inset": 10}},
    "mitred carcass": {"kind": "carcass", "width": 800, "height": 500, "depth": 380, "thickness": 20}
    | {"corner": "mitre", "shelves": [240]},
    "carcass with tenons": {"kind": "carcass", "width": 800, "height": 500, "depth": 450, "thickness": 18}
    | {"corner": "top_over", "shelves": [{"at": 220, "bay": 1}, {"at": 300, "bay": 2}], "partitions": [300]}
    | {"back": {"fit": "rabbet", "thickness": 6, "depth": 8}, "keys": {"middle": "tenons"}},
    "single joint": {"kind": "single_joint", "breadth": 63.64, "run": 20, "angle": 45, "behind": [60, 60]},
    "single joint from both edges": {"kind": "single_joint", "breadth": 120, "run": 60, "angle": 60}
    | {"behind": [60, 60], "entry": "both"},
    "too small": {"kind": "mitred_frame", "width": 120, "height": 90, "stock": {"width": 8, "thickness": 6}},
}


def sections() -> tuple[Section, ...]:
    return tuple(Section.model_validate(section) for section in json.loads(DEMO_SHOP.read_text())["sections"])


@cache
def planned(kind: str) -> AssemblyTakeoff:
    spec = {"mark": "A"} | KINDS[kind]
    if spec["kind"] in {"mitred_frame", "box"}:
        spec = {"measure": "outside"} | spec
    return take_off_assembly(ASSEMBLY.validate_python(spec), sections(), Rules())


def svg_text(drawing: Drawing, identity: str = "d", css: str = "drawing") -> str:
    return str(write_svg(drawing, identity, css))


def svg(drawing: Drawing) -> ET.Element:
    return ET.fromstring(svg_text(drawing))


def subpaths(root: ET.Element, css: str) -> list[list[tuple[float, float]]]:
    """Every subpath of a class as points, y upwards; an arc stands for its two ends."""
    found: list[list[tuple[float, float]]] = []
    for path in root.iter(f"{SVG}path"):
        if css in path.attrib["class"].split():
            for part in path.attrib["d"].split("M")[1:]:
                found.append(_points(part))
    return found


def _points(part: str) -> list[tuple[float, float]]:
    points = []
    for command in re.split(r"(?=[LA])", part.rstrip("Z")):
        numbers = [float(number) for number in command.lstrip("LA").split()]
        points.append((numbers[-2], -numbers[-1]))
    return points


def wood(face_region: Any, sine: float) -> BaseGeometry:
    """The region as shapely sees it, stretched to the joint line."""
    region = face_region
    ceiling = region.ceiling or ((0.0, region.run), (region.width, region.run))
    floor = region.floor or ((0.0, 0.0), (region.width, 0.0))
    shape: BaseGeometry = Polygon([(x / sine, v) for x, v in (*floor, *reversed(ceiling))])
    for void in region.voids:
        corners = [(void.x0, void.v0), (void.x1, void.v0), (void.x1, void.v1), (void.x0, void.v1)]
        shape = shape.difference(Polygon([(x / sine, v) for x, v in corners]))
    return shape
