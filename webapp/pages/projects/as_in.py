"""A new assembly's form filled as in: a moulding by its name, or the wood and the keys of another assembly."""

from __future__ import annotations

from collections.abc import Mapping

from domain.lengths import Units
from domain.spec.assemblies import FrameMeasure, MitredFrame
from domain.trials.mouldings import Moulding
from webapp.form.fields import AssemblyForm, Field, Options, Sort
from webapp.form.showing import spec_texts, starting_texts, taken_over
from webapp.pages.projects.assembly_forms import FORMS
from webapp.store import Store
from webapp.store.errors import NotFound
from webapp.usecases.as_in import chosen_assembly, chosen_moulding, sources
from webapp.wording.figures import by

AS_IN, FILL_IN = "as_in", "fill in"
"""The field, and the change that its button asks for."""
_MOULDING, _ASSEMBLY = "moulding", "assembly"
_STOCK = "stock"
_WOOD = ("material", "species")
_SHARED = (*_WOOD, "cut", "one_length", "keys")
"""What assemblies of two kinds have in common: their wood and their keys."""


def as_in_field(store: Store, form: AssemblyForm, units: Units) -> Field | None:
    """The choice of what the form is filled from; None where the shop has nothing yet."""
    found = sources(store, form.kind, mouldings=_has_stock(form, units))
    mouldings: Options = tuple(
        (f"{_MOULDING} {each.number}", _moulding_words(each.moulding, units)) for each in found.mouldings
    )
    assemblies: Options = tuple(
        (f"{_ASSEMBLY} {each.id}", f"{each.project}, {each.mark} ({FORMS[each.kind].title.lower()})")
        for each in found.assemblies
        if each.kind in FORMS
    )
    if not mouldings and not assemblies:
        return None
    options = (("", "Choose one"), *mouldings, *assemblies)
    return Field(AS_IN, "Wood and keys as in", Sort.CHOICE, required=False, options=options)


def filled_as_in(store: Store, form: AssemblyForm, texts: Mapping[str, str], units: Units) -> dict[str, str]:
    """The texts with what was chosen in place of their own; as they are where it is there no longer.

    A moulding fills the wood, an assembly the wood and the keys; one of the form's kind all that a new form keeps.
    """
    what, _, number = texts.get(AS_IN, "").partition(" ")
    if not (number.isascii() and number.isdecimal() and len(number) < 10):
        return dict(texts)
    try:
        if what == _MOULDING and _has_stock(form, units):
            return _with_moulding(store, form, texts, units, int(number))
        if what == _ASSEMBLY:
            return _with_assembly(store, form, texts, units, int(number))
    except NotFound:
        pass  # gone since the form was opened: the list no longer has it
    return dict(texts)


def _moulding_words(moulding: Moulding, units: Units) -> str:
    return f"Moulding {moulding.name}, {by(units, moulding.stock.width, moulding.stock.thickness)}"


def _has_stock(form: AssemblyForm, units: Units) -> bool:
    return f"{_STOCK}.width" in starting_texts(form, units, "")


def _with_moulding(
    store: Store, form: AssemblyForm, texts: Mapping[str, str], units: Units, number: int
) -> dict[str, str]:
    moulding = chosen_moulding(store, number)
    spec = MitredFrame(mark="A", measure=FrameMeasure.OUTSIDE, stock=moulding.stock)
    filled = taken_over(texts, spec_texts(form, spec, units), (_STOCK,))
    own = {name: getattr(moulding, name) for name in _WOOD}
    return filled | {name: text for name, text in own.items() if text}


def _with_assembly(
    store: Store, form: AssemblyForm, texts: Mapping[str, str], units: Units, number: int
) -> dict[str, str]:
    other = chosen_assembly(store, number)
    leads = (*_SHARED, *form.kept) if other.kind == form.kind else _SHARED
    return taken_over(texts, spec_texts(FORMS[other.kind], other, units), leads)
