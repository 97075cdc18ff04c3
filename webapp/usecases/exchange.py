"""Projects out and in as files: an exported file is whole, an imported one says what it would bring."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from domain.problems import Problem
from domain.project_file import read_project_file
from domain.spec.catalogue import Section
from domain.spec.job import Stage
from domain.spec.project import Project
from domain.spec.quote import terms_document
from domain.spec.rules import Rules
from domain.spec.starts import Starts, starts_in_use
from domain.spec.wood import wood_document
from domain.takeoff.build import check_pins
from webapp.store import Store
from webapp.store.catalogue import list_sections
from webapp.store.projects import create_project, load_project
from webapp.store.shop import load_shop
from webapp.store.tokens import Sending
from webapp.store.trials import shops_starts
from webapp.usecases.booking import book_once
from webapp.usecases.json_text import parse_json

LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class Preview:
    """What an import would create.

    ``project`` is as it would be stored: sections or rules that equal the shop's are None. ``pins``
    are choices of sections that would not be there; they do not stop the import, the plan names them.
    ``no_sections``: neither file nor shop has any, so no joint can be planned yet.
    """

    project: Project
    pins: tuple[Problem, ...]
    no_sections: bool


@dataclass(frozen=True, slots=True)
class Export:
    """A project file: a safe name for it, and its text."""

    file_name: str
    text: str


def export_project(store: Store, project_id: int) -> Export:
    """The project with the sections, rules and starts it is planned with. Raises NotFound."""
    with store.reading() as session:
        project = load_project(session, project_id).project
        sections = project.sections or tuple(stored.section for stored in list_sections(session))
        starts = starts_in_use(project.starts, project.sections is not None, shops_starts(session))
        rules = project.rules or load_shop(session).rules
    whole = project.model_copy(update={"sections": sections or None, "rules": rules, "starts": starts or None})
    return Export(file_name(project_id, project.name), project_text(whole))


def preview_import(store: Store, body: bytes) -> Preview:
    """What the file would create. Raises BadInput with everything wrong in it; nothing is stored."""
    read = read_project_file(parse_json(body))
    with store.reading() as session:
        return _preview_in(session, read)


def _preview_in(session: Session, read: Project) -> Preview:
    sections = tuple(stored.section for stored in list_sections(session))
    project = with_shops_own(read, sections, load_shop(session).rules, shops_starts(session))
    used = project.sections or sections
    pins = tuple(check_pins(project, used)) if used else ()
    return Preview(project, pins, not used)


def book_import(store: Store, sent: Sending, body: bytes) -> int:
    """Create the file's project for a form that was ``sent``, once; the project's number.

    Raises BadInput as ``preview_import`` does.
    """
    read = read_project_file(parse_json(body))
    (number,) = book_once(
        store, sent, lambda session: (create_project(session, _preview_in(session, read).project),)
    )
    return number


def with_shops_own(project: Project, sections: Sequence[Section], rules: Rules, starts: Starts = ()) -> Project:
    """The project without the sections, rules and starts that are the shop's anyway: they stay the shop's own."""
    update: dict[str, None] = {}
    if project.sections is not None and _plain(project.sections) == _plain(sections):
        update["sections"] = None
        if project.starts == starts:
            update["starts"] = None
    if project.rules == rules:
        update["rules"] = None
    return project.model_copy(update=update)


def _plain(sections: Sequence[Section]) -> list[Section]:
    """Sections with their lengths shortest first: in which order they were typed changes no plan."""
    return [section.model_copy(update={"lengths": tuple(sorted(section.lengths))}) for section in sections]


def project_document(project: Project) -> dict[str, Any]:
    """The project as a file's JSON: its fields in the format's order, always the same for the same project.

    An assembly has the fields that were set, since what a joint overrides is told by which are there;
    sections and rules are whole, so that a later change of a usual value moves no project.
    """
    document: dict[str, Any] = {"format": project.format, "version": project.version, "name": project.name}
    if project.customer is not None:
        document["customer"] = project.customer
    document["units"] = project.units.value
    if project.currency is not None:
        document["currency"] = project.currency
    if project.sections is not None:
        document["sections"] = [section.model_dump(mode="json", exclude_none=True) for section in project.sections]
    if project.rules is not None:
        document["rules"] = project.rules.model_dump(mode="json")
    if project.starts is not None:
        document["starts"] = [start.model_dump(mode="json", exclude_none=True) for start in project.starts]
    if project.climate is not None:
        document["climate"] = wood_document(project.climate)
    if project.stock is not None:
        document["stock"] = [wood_document(wood) for wood in project.stock]
    if project.parts:
        document["parts"] = {mark: wood_document(change) for mark, change in project.parts.items()}
    if project.state is not Stage.PLANNED:
        document["state"] = project.state.value
    document |= {name: told for name in ("due", "note", "notes") if (told := getattr(project, name))}
    if project.quote is not None:
        document["quote"] = terms_document(project.quote)
    if project.keys.model_fields_set:
        document["keys"] = project.keys.model_dump(mode="json", exclude_unset=True)
    document["assemblies"] = [
        {"kind": spec.kind, **spec.model_dump(mode="json", exclude_unset=True)} for spec in project.assemblies
    ]
    return document


def project_text(project: Project, *, indent: int | None = 2) -> str:
    """The project file's text, without a line end inside where ``indent`` is None."""
    return json.dumps(project_document(project), ensure_ascii=False, indent=indent, allow_nan=False) + "\n"


def file_name(project_id: int, name: str) -> str:
    r"""A file name of ours for the project: plain ASCII letters, digits and hyphens.

    It begins with the project's number, so no name of the user's can make it a device, a path or a
    hidden file.

    >>> file_name(12, "Küche / Œuvre: 2\r\n")
    'project-12-kuche-uvre-2.json'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    words = re.sub(r"[^a-z0-9]+", "-", plain)[:LONGEST_NAME].strip("-")
    return f"project-{project_id}{'-' + words if words else ''}.json"
