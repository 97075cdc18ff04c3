"""Several assemblies typed into one form: a line of sizes for each, and all else of the form shared by them."""

from __future__ import annotations

from collections.abc import Mapping

from domain.lengths import Units
from domain.spec.sizes import Line, SizesLine, read_sizes
from webapp.form.fields import AssemblyForm, Field, Sort
from webapp.wording.exact import length_text

SIZES = "sizes"


def has_lines(form: AssemblyForm, texts: Mapping[str, str]) -> bool:
    """Whether the form's sizes stand in lines, which go before its own fields for them."""
    return bool(form.sized and texts.get(SIZES, "").strip())


def sizes_field(form: AssemblyForm, texts: Mapping[str, str]) -> Field | None:
    """The field for lines of sizes; None for a kind that has no sizes of its own to list."""
    if not form.sized:
        return None
    axes = " × ".join(field.label for field in form.sizes(texts)) or "Sizes"
    hint = (
        f"{axes}, how many, a name: one line makes one assembly, as 520x365*3 or 20 1/2 x 14 3/8 in, 2 off. Lines"
        " copied from a spreadsheet do too. All share what stands below, where sizes may stay empty."
    )
    return Field(SIZES, "Sizes, a line each", Sort.TEXT, required=False, lines=2, hint=hint)


def lines_of(form: AssemblyForm, texts: Mapping[str, str], units: Units) -> tuple[Line, ...]:
    """The lines of sizes, read or refused; plain numbers are ``units``."""
    axes = tuple(field.label.lower() for field in form.sizes(texts))
    return read_sizes(texts.get(SIZES, ""), axes, units) if axes else ()


def line_fields(form: AssemblyForm, texts: Mapping[str, str], line: SizesLine) -> dict[str, str]:
    """What stands in a line, by field name with the field's label: what is wrong there is wrong in the line."""
    labels = {field.name: field.label for field in form.sizes(texts)}
    said = {"quantity": ("How many", line.quantity), "name": ("Name", line.name)}
    return labels | {name: label for name, (label, value) in said.items() if value is not None}


def line_texts(
    form: AssemblyForm, texts: Mapping[str, str], line: SizesLine, units: Units, mark: str
) -> dict[str, str]:
    """The form's texts as if the line alone had been typed into its fields, under this mark."""
    fields = (field.name for field in form.sizes(texts))
    said = {name: length_text(size, units) for name, size in zip(fields, line.sizes, strict=True)}
    if line.quantity is not None:
        said["quantity"] = str(line.quantity)
    if line.name is not None:
        said["name"] = line.name
    return {**texts, **said, "mark": mark}
