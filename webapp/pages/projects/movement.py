"""How a project's wood moves: the air that it is made in and goes to, and what that does to its parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from domain.moving.movement import notes_on_movement
from domain.moving.places import places_of
from domain.problems import BadInput
from domain.reading import read
from domain.spec.wood import Air, Climate, wood_document
from webapp.drawings.model import Drawing
from webapp.drawings.panel_fit import draw_panel_fit
from webapp.form.fields import Field, Group, Plain, SimpleForm, Sort
from webapp.form.filled import Filled, shown
from webapp.form.filled import sent as sent_form
from webapp.pages.shop.jobs import begun_first
from webapp.site import urls
from webapp.site.editing import saved
from webapp.site.incoming import Form, OnceForm, RowId
from webapp.site.kept_pages import kept_page
from webapp.site.rendering import MAIN_ONLY, render
from webapp.store.projects import ProjectHead
from webapp.usecases import projects
from webapp.usecases.climate import save_climate
from webapp.usecases.long_work import TakesLong
from webapp.usecases.projects import Bench, PlannedAssembly, PlannedProject
from webapp.wording.movement import (
    ABOUT,
    IN_PLACES,
    NOTHING_MOVES,
    MovementWords,
    air_word,
    movement_words,
    seasons_heading,
)
from webapp.wording.words import notes_text

router = APIRouter(include_in_schema=False)

PLACES = {"from": "shop", "to": "place", "other_to": "other season"}


def _place(name: str, short: str) -> Group:
    return Group(
        IN_PLACES[name],
        (
            Field(f"{name}.moisture", f"Moisture, {short}", Sort.NUMBER, required=False, unit="%"),
            Field(f"{name}.temperature", f"Temperature, {short}", Sort.TEMPERATURE, required=False),
            Field(f"{name}.humidity", f"Humidity, {short}", Sort.NUMBER, required=False, unit="%"),
        ),
    )


CLIMATE = SimpleForm(
    tuple(_place(*place) for place in PLACES.items()),
    at={name: f"{name}.moisture" for name in PLACES},
)


@dataclass(frozen=True, slots=True)
class PanelPicture:
    """A panel's edge in its groove at both ends of the season; ``key`` tells it from the page's others."""

    key: str
    drawing: Drawing


@dataclass(frozen=True, slots=True)
class MovingAssembly:
    """An assembly whose wood moves, in words, with its panels drawn and what there is to do."""

    words: MovementWords
    pictures: tuple[PanelPicture, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MovementPage:
    """The climate's form, and what it does to every assembly. ``air`` is what wood comes to in each place.

    ``seasons`` heads the columns of changes; it is empty without a climate. ``clashes`` are marks of assemblies
    whose sizes clash.
    """

    head: ProjectHead
    form: Filled
    groups: Sequence[Group]
    air: Sequence[str]
    seasons: Sequence[str]
    assemblies: Sequence[MovingAssembly]
    about: str
    nothing: str
    clashes: Sequence[str]


@dataclass(frozen=True, slots=True)
class AirPart:
    """What wood comes to in the air that is being typed."""

    air: Sequence[str]


@router.get(urls.movement)
def show(request: Request, project_id: RowId) -> HTMLResponse:
    """The climate and what it does."""
    return kept_page(request, project_id, lambda project: _show(request, project, _shown(project.bench)))


@router.post(urls.movement)
def save(request: Request, project_id: RowId, sent: OnceForm) -> Response:
    """Save the climate, or show the form again as it was typed; an empty one takes it away."""
    try:
        return _save(request, project_id, sent)
    except TakesLong as late:
        return begun_first(request, late, urls.movement(project_id))


def _save(request: Request, project_id: int, sent: OnceForm) -> Response:
    store = request.app.state.store
    plain = Plain(projects.bench(store, project_id).head.units)
    typed = sent_form(CLIMATE, plain, sent, edits=True)

    def act() -> str:
        save_climate(store, sent.sending, project_id, typed.version or 0, _read(typed))
        return urls.movement(project_id)

    return saved(
        request,
        typed,
        act,
        lambda form, status: _show(request, projects.plan_soon(store, project_id), form, status=status),
        stored=lambda: _shown(projects.bench(store, project_id)).texts,
    )


@router.post(urls.movement_air)
def air(request: Request, project_id: RowId, sent: Form) -> HTMLResponse:
    """What wood comes to in the air that is being typed; what cannot be read yet says nothing."""
    texts = {name: sent.text(name) for name in CLIMATE.labels}
    plain = Plain(projects.bench(request.app.state.store, project_id).head.units)
    return render(request, "projects/_air.html", AirPart(_air_words(Filled(CLIMATE, plain, texts).values().data)))


def _read(typed: Filled) -> Climate | None:
    """The climate that was typed, None where every field is empty. Raises Unusable."""
    values = typed.values()
    if not values.data and not values.errors:
        return None
    return values.made(Climate)


def _shown(bench: Bench) -> Filled:
    climate = bench.means.climate
    root = {} if climate is None else wood_document(climate)
    return shown(CLIMATE, Plain(bench.head.units), root, bench.head.version)


def _air_words(data: Mapping[str, object]) -> tuple[str, ...]:
    """What wood comes to in every place that is told well."""
    told = []
    for name in PLACES:
        try:
            found = read(Air, data.get(name))
        except BadInput:
            continue
        told.append(air_word(name, found))
    return tuple(told)


def _show(request: Request, project: PlannedProject, form: Filled, *, status: int = 200) -> HTMLResponse:
    climate, units = project.bench.means.climate, project.head.units
    return render(
        request,
        "projects/movement.html",
        MovementPage(
            head=project.head,
            form=form,
            groups=CLIMATE.groups,
            air=_air_words(form.values().data),
            seasons=() if climate is None else seasons_heading(places_of(climate)),
            assemblies=tuple(_assemblies(project)),
            about=ABOUT,
            nothing=NOTHING_MOVES,
            clashes=[each.stored.spec.mark for each in project.assemblies if each.takeoff is None],
        ),
        status=status,
        headers=MAIN_ONLY,
        units=units,
    )


def _assemblies(project: PlannedProject) -> list[MovingAssembly]:
    return [found for each in project.assemblies if (found := _assembly(each, project)) is not None]


def _assembly(each: PlannedAssembly, project: PlannedProject) -> MovingAssembly | None:
    takeoff, units = each.takeoff, project.head.units
    if takeoff is None or takeoff.movement is None or not takeoff.movement.parts:
        return None
    movement = takeoff.movement
    return MovingAssembly(
        movement_words(takeoff, movement, units),
        tuple(PanelPicture(panel.part.mark, draw_panel_fit(panel, units)) for panel in movement.panels),
        notes_text(notes_on_movement(movement, project.rules), units),
    )
