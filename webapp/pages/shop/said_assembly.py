"""An assembly's texts as its form calls them, for two sendings of one form to be laid side by side."""

from __future__ import annotations

from collections.abc import Mapping

from domain.lengths import Units
from webapp.form.several import SIZES
from webapp.form.views import Offers, view_form
from webapp.pages.projects.assembly_forms import FORMS
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.usecases.projects import bench_of


def said_assembly(store: Store, texts: Mapping[str, str], places: Mapping[str, str]) -> Mapping[str, str]:
    """The texts by label: of the kind in the address, or of the assembly there; by name where that is gone."""
    kind = places.get("kind") or _kind(store, int(places["project_id"]), int(places["assembly_id"]))
    if kind not in FORMS:
        return texts
    # plain texts are shown just as they were typed: in what units they mean something changes none of them
    labels = view_form(FORMS[kind], dict(texts), {}, Units.MM, Offers((), ())).labels
    lines = {"Sizes": texts[SIZES]} if texts.get(SIZES) else {}
    return lines | {label: texts.get(name, "") for name, label in labels.items() if name}


def _kind(store: Store, project_id: int, assembly_id: int) -> str:
    try:
        return bench_of(store, project_id, assembly_id)[1]
    except NotFound:
        return ""
