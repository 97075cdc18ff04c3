"""Specs to store, by hand and by hypothesis, and a clock that moves when it is told to."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import strategies as st

from domain.lengths import Length
from domain.spec.assemblies import Assembly, SingleJoint
from domain.spec.catalogue import Section
from domain.spec.project import Project, read_project
from webapp.store import health, schema
from webapp.store.quotes import QuoteHead
from webapp.store.revisions import RevisionHead


class Clock:
    """Stands still until it is moved on."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.moment

    def forward(self, **time: float) -> None:
        self.moment += timedelta(**time)


def joint(mark: str = "A", **fields: Any) -> SingleJoint:
    return SingleJoint(**{"mark": mark, "breadth": 60, "run": 20, "behind": [60, 60], **fields})


def project(*assemblies: Assembly, **fields: Any) -> Project:
    return Project(**{"name": "Window seat", "assemblies": assemblies, **fields})


def section(name: str = "14", **fields: Any) -> Section:
    sizes = {"waist": 11.2, "half_depth": 6, "flank": 12, "tip_diameter": 13.815, "drive_limit": 60}
    return Section(**{"name": name, **sizes, "lengths": [16, 22, 38], "stock_from": 14, "stock_to": 40, **fields})


def revision_head(number: int = 1, project_id: int = 1) -> RevisionHead:
    moment = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
    return RevisionHead(project_id, number, "Window seat", None, moment, "0.1.0", "0" * 64)


def quote_head(number: int = 1, project_id: int = 1) -> QuoteHead:
    moment = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
    return QuoteHead(
        number, project_id, "Window seat", None, "EUR", 81_240, moment, date(2026, 4, 1), "0.1.0", "0" * 64
    )


def one_of_each_kind() -> Project:
    """Every kind of assembly, with most of what may be left out given."""
    return read_project(
        {
            "format": "dovetally-project",
            "version": 1,
            "name": "Everything",
            "customer": "Ålund & søn",
            "units": "in",
            "currency": "SEK",
            "sections": [section().model_dump(mode="json")],
            "rules": {"wall": "3/32", "spare": 0.1},
            "climate": {"from": {"moisture": 8.5}, "to": {"temperature": 19, "humidity": 62}},
            "stock": [{"item": "oak 1 5/8", "least_offcut": 250, "stock": [{"length": 2750, "price": 1180}]}],
            "parts": {"A1": {"rough_length": 431, "note": "straight grain"}},
            "assemblies": [
                {
                    "kind": "mitred_frame",
                    "mark": "A",
                    "quantity": 3,
                    "measure": "rabbet",
                    "width": "15 3/4 in",
                    "height": 300,
                    "stock": {
                        "width": 45,
                        "thickness": 20,
                        "rabbet_width": 6,
                        "rabbet_depth": 10,
                        "front": [[0, 20], [30, 20], [45, 12]],
                    },
                    "keys": {"section": "14", "plug": {"material": "wenge", "height": 3}},
                    "joints": {"J1": {"count": 2, "plug": None}},
                },
                {
                    "kind": "railed_frame",
                    "mark": "B",
                    "width": 600,
                    "height": 720,
                    "thickness": 20,
                    "stile": 45,
                    "top_rail": 45,
                    "bottom_rail": 60,
                    "mid_rail": 38,
                    "rows": [{"opening": 140}, {"opening": "rest", "columns": ["7 7/8 in", "rest"]}],
                    "panel": {"fit": "groove", "depth": 10, "width": 6, "thickness": 6},
                },
                {
                    "kind": "box",
                    "mark": "C",
                    "measure": "inside",
                    "length": 280,
                    "width": 180,
                    "height": 90,
                    "wall": 12,
                    "corner": "mitre",
                    "bottom": {"fit": "rabbet", "thickness": 5, "depth": 5},
                    "top": {"material": "ash", "thickness": 3, "depth": 4, "down": 4},
                    "lid": {"height": 30, "kerf": 2, "lip": 6, "clearance": 0.1},
                },
                {
                    "kind": "carcass",
                    "mark": "D",
                    "width": 800,
                    "height": 900,
                    "depth": 350,
                    "thickness": 18,
                    "corner": "top_over",
                    "shelves": [300, 600],
                    "back": {"fit": "groove", "thickness": 6, "depth": 8},
                },
                {
                    "kind": "single_joint",
                    "mark": "E",
                    "breadth": 63.64,
                    "run": 20,
                    "angle": 45,
                    "behind": [60, 60],
                },
            ],
        }
    )


lengths = st.integers(min_value=1, max_value=10**11).map(Length)
rooms = st.integers(min_value=0, max_value=10**11).map(Length)
names = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=40)
marks = st.text("ABCxyz019_.", min_size=1, max_size=12)
_plugs = st.fixed_dictionaries({"material": names, "height": lengths})
_choices = st.fixed_dictionaries(
    {},
    optional={
        "section": st.none() | names,
        "count": st.none() | st.integers(1, 40),
        "entry": st.none() | st.sampled_from(["back", "front", "both", "top", "bottom"]),
        "plug": st.none() | _plugs,
        "recess": st.none() | rooms,
    },
)
_common = {
    "name": st.none() | names,
    "quantity": st.integers(1, 10_000),
    "material": names,
    "keys": _choices,
    "joints": st.dictionaries(st.text(max_size=8), _choices, max_size=3),
}


def assemblies(marked: str) -> st.SearchStrategy[dict[str, Any]]:
    """Assemblies as a file would hold them, of three kinds with nested, optional and mixed fields."""
    mark = st.just(marked)
    loose = st.fixed_dictionaries(
        {"kind": st.just("single_joint"), "mark": mark, "breadth": lengths, "run": lengths}
        | {"behind": st.tuples(lengths, lengths)},
        optional=_common | {"angle": st.floats(15, 90), "entry": st.sampled_from(["back", "both"])},
    )
    opening = st.just("rest") | lengths
    row = st.fixed_dictionaries(
        {"opening": opening}, optional={"columns": st.lists(opening, min_size=1, max_size=4)}
    )
    rails = ["width", "height", "thickness", "stile", "top_rail", "bottom_rail"]
    railed = st.fixed_dictionaries(
        {"kind": st.just("railed_frame"), "mark": mark} | dict.fromkeys(rails, lengths),
        optional=_common | {"mid_rail": lengths, "rows": st.lists(row, min_size=1, max_size=3)},
    )
    stock = st.fixed_dictionaries(
        {"width": lengths, "thickness": lengths},
        optional={"rabbet_width": rooms, "front": st.lists(st.tuples(rooms, lengths), min_size=2, max_size=4)},
    )
    mitred = st.fixed_dictionaries(
        {"kind": st.just("mitred_frame"), "mark": mark, "stock": stock, "across": lengths}
        | {"measure": st.sampled_from(["outside", "opening", "rabbet", "glass"])},
        optional=_common | {"sides": st.integers(3, 12), "fit_allowance": rooms},
    )
    return loose | railed | mitred


@st.composite
def sections(draw: st.DrawFn) -> Section:
    """A section whose numbers belong together, its flank on the catalogue's grid, shortest key first."""
    waist = draw(st.integers(1, 10**10))
    tip = waist + draw(st.integers(1, 10**10))
    free = draw(st.none() | st.integers(1, 10**10))
    stock = draw(st.integers(1, 10**10))
    tenths = st.integers(30, 10**6).map(lambda count: count * 100_000)
    sixty_fourths = st.integers(8, 250_000).map(lambda count: count * 396_875)
    keys = draw(st.sets(tenths | sixty_fourths, min_size=1, max_size=16))
    return Section(
        name=draw(names),
        waist=Length(waist),
        half_depth=draw(lengths),
        flank=draw(st.integers(1, 45_000_000)) / 1_000_000,
        tip_diameter=Length(tip),
        free_tip_diameter=None if free is None else Length(tip + free),
        lengths=tuple(Length(key) for key in sorted(keys)),
        drive_limit=draw(lengths),
        stock_from=Length(stock),
        stock_to=Length(stock + draw(st.integers(0, 10**10))),
        reach_limit=draw(lengths),
    )


rules = st.fixed_dictionaries(
    {},
    optional={
        "wall": lengths,
        "preload": rooms,
        "scale_tip_diameter": st.none() | lengths,
        "hold_target": st.floats(0, 1),
        "test_joints": st.integers(0, 100),
        "glue_spread": st.floats(0, 2_000),
        "open_seconds": st.floats(1, 86_400),
        "change_minutes": st.fixed_dictionaries({}, optional={"cutter": st.floats(0, 1_000)}),
    },
)
prices = st.none() | st.integers(0, 10**9)


def make_up_a_version(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the program be one version on; of that there is no golden schema to hold a file against."""
    monkeypatch.setattr(schema, "HEAD", schema.HEAD + 1)
    monkeypatch.setattr(schema, "differences", lambda *_: ())
    monkeypatch.setattr(health, "differences", lambda *_: ())
