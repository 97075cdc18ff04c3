"""One part of the parts list, changed: other rough sizes, another wood, other grain, a note; and taken back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from domain.cut_list.part import CutPart, Sort
from domain.lengths import Length
from domain.spec.wood import Grain, PartChange
from webapp.form.carried import sent_version
from webapp.form.fields import Field, Plain, form_of
from webapp.form.fields import Sort as FieldSort
from webapp.form.filled import Filled, Values, sent, shown
from webapp.pages.shop.jobs import begun_first
from webapp.pages.timber.parts_list import place_of
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import OnceForm, RowId
from webapp.site.rendering import MAIN_ONLY, go_to, render
from webapp.store.errors import NotFound
from webapp.store.projects import ProjectHead
from webapp.usecases.long_work import TakesLong
from webapp.usecases.parts_list import change_part, parts_list
from webapp.usecases.projects import PlannedProject, plan_soon
from webapp.wording.cut_list import GRAINS, CutRow, cut_list_words
from webapp.wording.figures import size

router = APIRouter(include_in_schema=False)

AS_PLANNED = "as planned"
CHANGE = form_of(
    Field("rough_length", "Rough length", required=False, zero=False),
    Field("rough_width", "Rough width", required=False, zero=False),
    Field("rough_thickness", "Rough thickness", required=False, zero=False),
    Field("material", "Material", FieldSort.TEXT, required=False, longest=120),
    Field(
        "grain",
        "Grain, to its length",
        FieldSort.CHOICE,
        options=(("", AS_PLANNED), *((grain.value, GRAINS[grain]) for grain in Grain)),
        required=False,
        hint="Counts for what is cut from sheets",
    ),
    Field("note", "Note", FieldSort.TEXT, required=False, longest=120),
)
Mark = Annotated[str, Query(max_length=200)]


@dataclass(frozen=True, slots=True)
class ChangePartPage:
    """A part's form; ``row`` is the part as it is listed, ``planned`` what the plan has, by field."""

    head: ProjectHead
    form: Filled
    mark: str
    row: CutRow
    item: str
    planned: Mapping[str, str]


@router.get(urls.change_part)
def edit(request: Request, project_id: RowId, mark: Mark) -> HTMLResponse:
    """The form of a part, with what was changed already."""
    project = plan_soon(request.app.state.store, project_id)
    _part(project, mark)
    return _page(request, project, mark, _shown(project, mark))


@router.post(urls.change_part)
def change(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Keep what was typed otherwise, and go back to the part."""
    try:
        return _change(request, project_id, form)
    except TakesLong as late:
        return begun_first(request, late, urls.change_part(project_id, mark=form.text("mark")))


def _change(request: Request, project_id: int, form: OnceForm) -> Response:
    store, mark = request.app.state.store, form.text("mark")
    project = plan_soon(store, project_id)
    part = _part(project, mark)
    typed = sent(CHANGE, Plain(project.head.units), form, edits=True)

    def save() -> str:
        values = typed.values()
        _check(values, part)
        made = values.made(PartChange, {name: values[name] for name in CHANGE.labels if values[name] is not None})
        change_part(store, form.sending, project_id, typed.version or 0, mark, made)
        return place_of(project, mark)

    return saved(
        request,
        typed,
        save,
        lambda again, status: _page(request, project, mark, again, status=status),
        stored=lambda: _shown(plan_soon(store, project_id), mark).texts,
    )


@router.post(urls.part_as_planned)
def take_back(request: Request, project_id: RowId, form: OnceForm) -> Response:
    """Take the plan's own again; also for a mark that no part has any more."""
    mark = form.text("mark")
    version = sent_version(form.text("version"))
    change_part(request.app.state.store, form.sending, project_id, version, mark, None)
    return go_to(request, urls.parts(project_id, at=f"part-{mark}"))


def _part(project: PlannedProject, mark: str) -> CutPart:
    found = next((part for part in parts_list([project]).parts if part.mark == mark), None)
    if found is None:
        raise NotFound("part", mark)
    return found


def _check(values: Values, part: CutPart) -> None:
    """Nothing is cut smaller than it is to be; a sheet has a thickness of its own."""
    least = {"rough_length": part.finished.length, "rough_width": part.finished.width}
    material = values["material"]
    bar = part.sort is Sort.BAR if material is None else not part.is_panel
    if bar and part.finished.thickness is not None:
        least["rough_thickness"] = part.finished.thickness
    units = values.filled.plain.units
    for name, finished in least.items():
        typed = values[name]
        if isinstance(typed, Length) and typed.mm < finished - 1e-6:
            values.refuse(name, f"must be {size(finished, units)} or more: so large is the finished part")


def _shown(project: PlannedProject, mark: str) -> Filled:
    change = project.bench.parts.get(mark, PartChange())
    root = {name: getattr(change, name) for name in CHANGE.labels}
    return shown(CHANGE, Plain(project.head.units), root, project.head.version)


def _page(
    request: Request, project: PlannedProject, mark: str, form: Filled, *, status: int = 200
) -> HTMLResponse:
    part = _part(project, mark)
    plain = replace(part.as_planned or part, as_planned=None, change=None)
    listed = parts_list([project])
    groups = cut_list_words(listed, project.head.units).groups
    item, row = next((group.item, row) for group in groups for row in group.rows if row.plan_mark == mark)
    return render(
        request,
        "timber/change_part.html",
        ChangePartPage(project.head, form, mark, row, item, _planned(plain, project)),
        status=status,
        headers=MAIN_ONLY,
        units=project.head.units,
    )


def _planned(part: CutPart, project: PlannedProject) -> Mapping[str, str]:
    """What the plan has, field by field, as its hint."""
    units = project.head.units
    thick = part.rough.thickness
    return {
        "rough_length": f"The plan has {size(part.rough.length, units)}",
        "rough_width": f"The plan has {size(part.rough.width, units)}",
        "rough_thickness": "The plan leaves it open" if thick is None else f"The plan has {size(thick, units)}",
        "material": f"The plan has {part.material}" if part.material else "The plan names none",
        "grain": f"The plan has {GRAINS[part.grain]}. Counts for what is cut from sheets",
    }
