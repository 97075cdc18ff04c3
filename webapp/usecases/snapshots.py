"""A project as it stands at one moment, whole in itself: what a revision keeps and is compared by.

A snapshot needs nothing from outside: it has the sections, rules and prices of its day. As text it is
canonical: the same project gives the same text.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from domain.problems import Problem
from domain.spec.catalogue import key_item
from domain.spec.job import Stage
from domain.spec.project import Project, read_project
from domain.takeoff.build import gather
from domain.takeoff.comparison import (
    Difference,
    Field,
    FieldChange,
    Measure,
    TakeoffComparison,
    compare_fields,
    compare_takeoffs,
    plain,
)
from domain.takeoff.document import takeoff_document
from domain.takeoff.means_comparison import compare_rules, compare_sections
from domain.takeoff.takeoff import Takeoff
from domain.trials.calibration import Corrections
from webapp.store.calibrations import list_calibrations
from webapp.store.engine import today
from webapp.store.projects import StoredProject, load_project
from webapp.store.shop import load_shop
from webapp.usecases.exchange import project_document
from webapp.usecases.projects import Bench, Prices, bench_in, planned
from webapp.wording.job import notes_said
from webapp.wording.movement import climate_said

FORMAT = "dovetally-revision"
VERSION = 1
Json = dict[str, Any]
Clashes = Mapping[str, tuple[Problem, ...]]
"""What is wrong with assemblies whose sizes clash, by their marks."""


@dataclass(frozen=True, slots=True)
class Sight:
    """A project and all that it is planned with, as it was seen at one moment; not planned yet."""

    whole: StoredProject
    bench: Bench
    shop: str
    corrections: Corrections


@dataclass(frozen=True, slots=True)
class Standing:
    """A project as it stands: with the sections and rules it is planned with, its takeoff and prices.

    ``edition`` is the project's version and the catalogue's edition. ``clashes`` says of
    each assembly, by its mark, whose sizes clash, why: the takeoff is without it. ``corrections`` are those of
    the machine's scales.
    """

    edition: tuple[int, int]
    project: Project
    takeoff: Takeoff
    prices: Prices
    shop: str
    clashes: Clashes
    corrections: Corrections


@dataclass(frozen=True, slots=True)
class PriceChange:
    """Another price for one piece, in whole minor units of a currency; None where none is known."""

    item: str
    before: tuple[int, str] | None
    after: tuple[int, str] | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that differs between two snapshots."""

    head: tuple[FieldChange, ...]
    takeoff: TakeoffComparison
    sections: tuple[Difference, ...]
    rules: tuple[FieldChange, ...]
    prices: tuple[PriceChange, ...]

    @property
    def same(self) -> bool:
        """True where nothing differs."""
        return self.takeoff.same and not (self.head or self.sections or self.rules or self.prices)


def look_in(session: Session, project_id: int) -> Sight:
    """The project as the session sees it. Raises NotFound or Unreadable."""
    whole = load_project(session, project_id)
    return Sight(
        whole,
        bench_in(session, whole),
        load_shop(session).name,
        Corrections(list_calibrations(session), today(session).isoformat()),
    )


def stand(sight: Sight) -> Standing:
    """The project planned as it was seen; this may take a while, and needs no session any more."""
    whole, means = sight.whole, sight.bench.means
    assemblies = [planned(assembly, means) for assembly in whole.assemblies]
    good = tuple(each.takeoff for each in assemblies if each.takeoff is not None)
    return Standing(
        edition=sight.bench.edition[1:3],
        project=whole.project.model_copy(
            # what is asked for it is no part of how it is made: quotes are issued by themselves
            update={
                "sections": means.sections or None,
                "rules": means.rules,
                "starts": means.starts or None,
                "quote": None,
            }
        ),
        takeoff=gather(whole.head.name, good, means.rules),
        prices=sight.bench.prices,
        shop=sight.shop,
        clashes={each.stored.spec.mark: each.problems for each in assemblies if each.takeoff is None},
        corrections=sight.corrections,
    )


def snapshot(standing: Standing) -> Json:
    """The snapshot as a JSON-ready dictionary."""
    prices = standing.prices
    return {
        "format": FORMAT,
        "version": VERSION,
        "shop": standing.shop,
        "project": project_document(_as_papers_have_it(standing.project)),
        "takeoff": takeoff_document(standing.takeoff),
        "prices": {
            "currency": prices.currency,
            "keys": [
                {"section": section, "length": length, "price": price}
                for (section, length), price in sorted(prices.keys.items())
            ],
            "plugs": [
                {"material": material, "height": height, "price": price}
                for (material, height), price in sorted(prices.plugs.items())
            ],
        },
    }


def _as_papers_have_it(project: Project) -> Project:
    """Without how far the job has come and when it is due, of which no paper tells: they are not frozen."""
    return project.model_copy(update={"state": Stage.PLANNED, "due": None})


def canonical(document: Json) -> str:
    """The one text of a document: fields in the order of their names, nothing but what is needed.

    >>> canonical({"b": [1.5, 2], "a": "Åse"})
    '{"a":"Åse","b":[1.5,2]}'
    """
    return json.dumps(document, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def read_snapshot(text: str) -> Json:
    """A snapshot from its stored text, which is never rewritten; what older versions named otherwise, as today.

    >>> read_snapshot('{"joints":[{"cutter":"oversize","notes":["Cut with the oversize cutter: so be it."]}]}')
    {'joints': [{'cutter': 'free', 'notes': ['Cut with the free-fit cutter: so be it.']}]}
    """
    document: Json = _in_todays_words("", json.loads(text))
    return document


_FIELDS = {"oversize_tip_diameter": "free_tip_diameter"}
_VALUES = {"cutter": {"standard": "close", "oversize": "free"}, "kind": {"loose_joint": "single_joint"}}
_PHRASES = {
    "Cut with the oversize cutter: the standard one's": "Cut with the free-fit cutter: the close-fit one's",
    "Cut with the oversize cutter": "Cut with the free-fit cutter",
    "with the standard cutter.": "with the close-fit cutter.",
}


def _in_todays_words(field: str, value: Any) -> Any:
    """What stands under ``field``, however deep, with fields, values and notes as they are called today."""
    if isinstance(value, dict):
        return {_FIELDS.get(name, name): _in_todays_words(name, each) for name, each in value.items()}
    if isinstance(value, list):
        return [_in_todays_words(field, each) for each in value]
    if not isinstance(value, str):
        return value
    for old, new in _PHRASES.items() if field == "notes" else ():
        value = value.replace(old, new)
    return _VALUES.get(field, {}).get(value, value)


def spec_of(document: Json) -> Project:
    """The project of a snapshot, with its own sections and rules. Raises BadInput where it is none."""
    return read_project(document["project"])


def compare(before: Json, after: Json) -> Comparison:
    """What differs from one snapshot to another."""
    old, new = before["project"], after["project"]
    return Comparison(
        compare_fields(_HEAD, old, new),
        compare_takeoffs(before["takeoff"], after["takeoff"]),
        compare_sections(old.get("sections", []), new.get("sections", [])),
        compare_rules(old["rules"], new["rules"]),
        _compare_prices(before["prices"], after["prices"]),
    )


_HEAD = (
    *(plain(name, Measure.TEXT) for name in ("name", "customer", "units", "currency")),
    plain("note", Measure.TEXT),
    Field("notes", Measure.TEXT, lambda project: notes_said(project.get("notes"))),
    Field("climate", Measure.TEXT, lambda project: climate_said(project.get("climate"))),
)


def _compare_prices(before: Json, after: Json) -> tuple[PriceChange, ...]:
    old, new = _priced(before), _priced(after)
    items = dict.fromkeys([*new, *old])
    changes = (PriceChange(item, old.get(item), new.get(item)) for item in items)
    return tuple(change for change in changes if change.before != change.after)


def _priced(prices: Json) -> dict[str, tuple[int, str]]:
    currency = prices["currency"]
    keys = {f"key {key_item(key['section'], key['length'])}": key["price"] for key in prices["keys"]}
    plugs = {f"plug {plug['material']}, {plug['height']:g} mm high": plug["price"] for plug in prices["plugs"]}
    return {item: (price, currency) for item, price in (keys | plugs).items()}
