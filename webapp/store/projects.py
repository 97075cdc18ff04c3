"""Projects: their heads, and all that is said of a project as a whole.

Every change of a project's head or of any of its assemblies raises the project's version: a
takeoff worked out for one version holds for as long as that version stands.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, text
from sqlalchemy.orm import defer
from sqlmodel import Session, col, select

from domain.lengths import Units
from domain.problems import BadInput
from domain.reading import read
from domain.spec.catalogue import Section
from domain.spec.choices import KeyChoices
from domain.spec.job import Stage
from domain.spec.project import FORMAT, Project, check_project
from domain.spec.quote import QuoteTerms
from domain.spec.rules import Rules
from domain.spec.wood import Climate, PartChange, WoodToCut, check_woods
from webapp.store.assemblies import StoredAssembly, assemblies_of, assembly_row
from webapp.store.columns import choice_in
from webapp.store.engine import now
from webapp.store.errors import NotFound
from webapp.store.rows import (
    LARGEST_NUMBER,
    claim,
    find,
    number_of,
)
from webapp.store.specs import (
    changes_text,
    choices_text,
    climate_text,
    notes_text,
    read_changes,
    read_choices,
    read_climate,
    read_notes,
    read_rules,
    read_sections,
    read_starts,
    read_terms,
    read_woods,
    rules_text,
    sections_text,
    starts_text,
    terms_text,
    woods_text,
)
from webapp.store.tables import AssemblyRow, ProjectRow


@dataclass(frozen=True, slots=True)
class ProjectHead:
    """A project in a list. ``assemblies`` counts them; ``updated`` and ``put_away`` are in UTC."""

    id: int
    name: str
    customer: str | None
    units: Units
    currency: str | None
    version: int
    assemblies: int
    updated: datetime
    stage: Stage
    due: date | None = None
    put_away: datetime | None = None


@dataclass(frozen=True, slots=True)
class StoredProject:
    """A whole project; ``project`` holds the same specs as ``assemblies``, in the same order.

    Its sections, rules and starts are None where they are the shop's own.
    """

    head: ProjectHead
    project: Project
    assemblies: tuple[StoredAssembly, ...]


def list_projects(session: Session) -> tuple[ProjectHead, ...]:
    """Every project, the one changed last first."""
    count = (
        select(func.count()).where(AssemblyRow.project_id == ProjectRow.id).correlate(ProjectRow).scalar_subquery()
    )
    rows = session.exec(
        select(ProjectRow, count)
        .options(defer(ProjectRow.sections_json), defer(ProjectRow.rules_json))  # type: ignore[arg-type]
        .order_by(col(ProjectRow.updated).desc(), col(ProjectRow.id).desc())
    )
    return tuple(head_of(row, assemblies) for row, assemblies in rows)


def load_project(session: Session, project_id: int) -> StoredProject:
    """The project with all its assemblies. Raises NotFound, or Unreadable with the domain's reasons."""
    row = find(session, ProjectRow, project_id)
    assemblies = assemblies_of(session, project_id)
    sections = None if row.sections_json is None else read_sections(project_id, row.sections_json)
    rules = None if row.rules_json is None else read_rules("project", project_id, row.rules_json)
    project = _project(
        name=row.name,
        customer=row.customer,
        units=choice_in(Units, row.units),
        currency=row.currency,
        sections=sections,
        rules=rules,
        starts=None if row.starts_json is None else read_starts(project_id, row.starts_json),
        climate=None if row.climate_json is None else read_climate(project_id, row.climate_json),
        stock=None if row.stock_json is None else read_woods(project_id, row.stock_json),
        parts=None if row.parts_json is None else read_changes(project_id, row.parts_json),
        state=choice_in(Stage, row.stage),
        due=None if row.due is None else row.due.isoformat(),
        note=row.note,
        notes=None if row.notes_json is None else read_notes(project_id, row.notes_json),
        quote=None if row.quote_json is None else read_terms(project_id, row.quote_json),
        keys=None if row.keys_json is None else read_choices(project_id, row.keys_json),
        assemblies=tuple(assembly.spec for assembly in assemblies),
    )
    return StoredProject(head_of(row, len(assemblies)), project, assemblies)


def project_version(session: Session, project_id: int) -> int:
    """The project's version, at the price of one small query. Raises NotFound."""
    query = select(ProjectRow.version).where(ProjectRow.id == project_id)
    version = session.exec(query).first() if 0 < project_id <= LARGEST_NUMBER else None
    if version is None:
        raise NotFound("project", project_id)
    return version


_EDITION = text("SELECT project.version, shop.edition FROM project, shop WHERE project.id = :id")
_EDITION_OF = text(
    "SELECT project.version, shop.edition, assembly.kind FROM project, shop, assembly"
    " WHERE project.id = :id AND assembly.project_id = project.id AND assembly.id = :assembly"
)


def edition(session: Session, project_id: int) -> tuple[int, int]:
    """The project's version and the catalogue's edition, at the price of one query. Raises NotFound.

    Asked with every page and every key press, so it goes past the mapper.
    """
    found = None
    if 0 < project_id <= LARGEST_NUMBER:
        found = session.connection().execute(_EDITION, {"id": project_id}).first()
    if found is None:
        raise NotFound("project", project_id)
    return found.version, found.edition


def edition_of(session: Session, project_id: int, assembly_id: int) -> tuple[int, int, str]:
    """The same, and the kind of one of the project's assemblies. Raises NotFound, also where it is another's."""
    found = None
    if 0 < project_id <= LARGEST_NUMBER and 0 < assembly_id <= LARGEST_NUMBER:
        asked = {"id": project_id, "assembly": assembly_id}
        found = session.connection().execute(_EDITION_OF, asked).first()
    if found is None:
        raise NotFound("assembly", assembly_id)
    return found.version, found.edition, found.kind


def create_project(session: Session, project: Project) -> int:
    """Store a new project with all its assemblies; its number. One that goes ahead elsewhere is planned here.

    Raises BadInput for what does not fit.
    """
    problems = tuple(check_project(project))
    if problems:
        raise BadInput(problems)
    _checked_head(project.name, project.customer, project.units, project.currency)
    moment = now(session)
    row = ProjectRow(
        name=project.name,
        customer=project.customer,
        units=project.units.value,
        currency=project.currency,
        sections_json=_sections_text(project.sections),
        rules_json=_rules_text(project.rules),
        starts_json=None if project.starts is None else starts_text(project.starts),
        climate_json=climate_text(project.climate),
        stock_json=woods_text(project.stock),
        parts_json=changes_text(project.parts),
        quote_json=terms_text(project.quote),
        keys_json=choices_text(project.keys),
        stage=(Stage.PLANNED if project.state is Stage.GOING_AHEAD else project.state).value,
        due=None if project.due is None else date.fromisoformat(project.due),
        note=project.note,
        notes_json=notes_text(project.notes),
        created=moment,
        updated=moment,
    )
    session.add(row)
    session.flush()
    session.add_all(
        assembly_row(number_of(row), position, spec) for position, spec in enumerate(project.assemblies)
    )
    session.flush()
    return number_of(row)


def update_head(
    session: Session,
    project_id: int,
    version: int,
    *,
    name: str,
    customer: str | None,
    units: Units,
    currency: str | None,
) -> int:
    """Change what the project is called and shown in; its new version.

    Raises NotFound, StaleEdit, or BadInput with the fields' names as paths.
    """
    head = _checked_head(name, customer, units, currency)
    row = claim(session, ProjectRow, project_id, version)
    row.name, row.customer, row.units, row.currency = head.name, head.customer, head.units.value, head.currency
    return _saved(session, row)


def update_choices(session: Session, project_id: int, version: int, choices: KeyChoices) -> int:
    """Pin what all the project's joints start from; its new version. Raises NotFound or StaleEdit."""
    row = claim(session, ProjectRow, project_id, version)
    row.keys_json = choices_text(choices)
    return _saved(session, row)


def update_rules(session: Session, project_id: int, version: int, rules: Rules | None) -> int:
    """Give the project rules of its own, or with None the shop's again; its new version.

    Raises NotFound or StaleEdit.
    """
    row = claim(session, ProjectRow, project_id, version)
    row.rules_json = _rules_text(rules)
    return _saved(session, row)


def update_climate(session: Session, project_id: int, version: int, climate: Climate | None) -> int:
    """Say what air the project is made in and goes to, or with None no more; its new version.

    Raises NotFound or StaleEdit.
    """
    row = claim(session, ProjectRow, project_id, version)
    row.climate_json = climate_text(climate)
    return _saved(session, row)


def update_stock(session: Session, project_id: int, version: int, woods: Sequence[WoodToCut] | None) -> int:
    """Say what the project's parts are cut from, or with None no more; its new version.

    Raises NotFound, StaleEdit, or BadInput where one wood is named twice.
    """
    problems = [problem.under("stock") for problem in check_woods(tuple(woods or ()))]
    if problems:
        raise BadInput(problems)
    row = claim(session, ProjectRow, project_id, version)
    row.stock_json = woods_text(woods)
    return _saved(session, row)


def update_parts(session: Session, project_id: int, version: int, changes: Mapping[str, PartChange]) -> int:
    """Keep these changes of the parts list and no others; its new version. Raises NotFound or StaleEdit."""
    row = claim(session, ProjectRow, project_id, version)
    row.parts_json = changes_text(changes)
    return _saved(session, row)


def update_quote(session: Session, project_id: int, version: int, terms: QuoteTerms | None) -> int:
    """Say what the project is quoted by, or with None nothing of its own; its new version.

    Raises NotFound or StaleEdit.
    """
    row = claim(session, ProjectRow, project_id, version)
    row.quote_json = terms_text(terms)
    return _saved(session, row)


def delete_project(session: Session, project_id: int, version: int) -> None:
    """Delete the project and all its assemblies. Raises NotFound or StaleEdit."""
    session.delete(claim(session, ProjectRow, project_id, version))
    session.flush()


def _project(**fields: object) -> Project:
    """A project of these fields, those that are None left unset, as a file would leave them out."""
    given = {name: value for name, value in fields.items() if value is not None}
    return read(Project, {"format": FORMAT, "version": 1, **given})


def _checked_head(name: str, customer: str | None, units: Units, currency: str | None) -> Project:
    return _project(name=name, customer=customer, units=units, currency=currency)


def _sections_text(sections: Sequence[Section] | None) -> str | None:
    return None if sections is None else sections_text(sections)


def _rules_text(rules: Rules | None) -> str | None:
    return None if rules is None else rules_text(rules)


def _saved(session: Session, project: ProjectRow) -> int:
    project.updated = now(session)
    session.flush()
    return project.version


def head_of(row: ProjectRow, assemblies: int) -> ProjectHead:
    """The row as lists show it; it has so many assemblies."""
    return ProjectHead(
        id=number_of(row),
        name=row.name,
        customer=row.customer,
        units=choice_in(Units, row.units),
        currency=row.currency,
        version=row.version,
        assemblies=assemblies,
        updated=row.updated,
        stage=choice_in(Stage, row.stage),
        due=row.due,
        put_away=row.put_away_at,
    )
