"""Every address of the program, made in one place. Routes are written to match; templates call these."""

from __future__ import annotations

from urllib.parse import quote


def home() -> str:
    """The first page."""
    return "/"


def demo() -> str:
    """Fills the workshop with the demo (POST)."""
    return "/demo"


def projects() -> str:
    """All projects."""
    return "/projects"


def new_project() -> str:
    """The form for a new project."""
    return "/projects/new"


def project(project_id: int) -> str:
    """One project with its assemblies."""
    return f"/projects/{project_id}"


def edit_project(project_id: int) -> str:
    """The form for a project's own fields: name, customer, units."""
    return f"/projects/{project_id}/edit"


def delete_project(project_id: int) -> str:
    """Asks before a project is deleted, and deletes it (POST)."""
    return f"/projects/{project_id}/delete"


def in_project(project_id: int, assembly_id: int) -> str:
    """An assembly's place on its project's page."""
    return f"{project(project_id)}#assembly-{assembly_id}"


def new_assembly(project_id: int, kind: str) -> str:
    """The form for a new assembly of ``kind``, such as "mitred_frame"."""
    return f"/projects/{project_id}/assemblies/new/{quote(kind, safe='')}"


def new_assembly_preview(project_id: int, kind: str) -> str:
    """What a new assembly, not saved yet, would come to."""
    return f"{new_assembly(project_id, kind)}/preview"


def assembly(project_id: int, assembly_id: int) -> str:
    """One assembly: its form and its drawing."""
    return f"/projects/{project_id}/assemblies/{assembly_id}"


def assembly_preview(project_id: int, assembly_id: int) -> str:
    """What an assembly would come to with the sizes in the form, without saving."""
    return f"{assembly(project_id, assembly_id)}/preview"


def duplicate_assembly(project_id: int, assembly_id: int) -> str:
    """Puts a copy after an assembly (POST)."""
    return f"{assembly(project_id, assembly_id)}/duplicate"


def move_assembly(project_id: int, assembly_id: int) -> str:
    """Moves an assembly up or down (POST)."""
    return f"{assembly(project_id, assembly_id)}/move"


def delete_assembly(project_id: int, assembly_id: int) -> str:
    """Asks before an assembly is deleted, and deletes it (POST)."""
    return f"{assembly(project_id, assembly_id)}/delete"


def schedule(project_id: int) -> str:
    """The joint schedule."""
    return f"/projects/{project_id}/schedule"


def set_ups(project_id: int) -> str:
    """The set-up sheet."""
    return f"/projects/{project_id}/set-ups"


def set_ups_together(*project_ids: int) -> str:
    """The set-up sheet of several projects together; without any, where they are chosen."""
    chosen = "&".join(f"project={project_id}" for project_id in project_ids)
    return f"/set-ups?{chosen}" if chosen else "/set-ups"


def parts_from(base: str, project_id: int) -> str:
    """Where a part's label leads, but for the part's mark at the end; ``base`` is the server's own address."""
    return f"{base.rstrip('/')}{schedule(project_id)}#part-"


def keys(project_id: int) -> str:
    """The keys and plugs that a project needs."""
    return f"/projects/{project_id}/keys"


def table(project_id: int, name: str, ending: str) -> str:
    """A table of the project: "schedule", "keys" or "members", as "xlsx" or "csv"."""
    return f"/projects/{project_id}/tables/{quote(name, safe='')}.{quote(ending, safe='')}"


def face(project_id: int, joint: str) -> str:
    """A joint's mating face at full size, as SVG."""
    return f"/projects/{project_id}/faces/{quote(joint, safe='')}.svg"


def duplicate_project(project_id: int) -> str:
    """The form that names a copy of a project, and makes it (POST)."""
    return f"/projects/{project_id}/duplicate"


def draft(project_id: int, kind: str, paper: str) -> str:
    """A document of the project as it stands, as PDF, not kept."""
    return f"/projects/{project_id}/print/{quote(kind, safe='')}?paper={quote(paper, safe='')}"


def all_issues() -> str:
    """The issued revisions of every project."""
    return "/issues"


def issues(project_id: int) -> str:
    """A project's issued revisions; issues the next one (POST)."""
    return f"/projects/{project_id}/issues"


def issue(project_id: int, number: int, against: int | None = None) -> str:
    """An issued revision, compared with the project as it stands, or with the revision ``against``."""
    return f"/projects/{project_id}/issues/{number}" + ("" if against is None else f"?against={against}")


def issued_document(project_id: int, number: int, kind: str, paper: str) -> str:
    """A document of an issued revision, as PDF."""
    return f"{issue(project_id, number)}/documents/{quote(kind, safe='')}/{quote(paper, safe='')}"


def duplicate_issue(project_id: int, number: int) -> str:
    """The form that names a new project made as the revision was, and makes it (POST)."""
    return f"{issue(project_id, number)}/duplicate"


def export(project_id: int) -> str:
    """A project as a file."""
    return f"/projects/{project_id}/export"


def import_project() -> str:
    """The form that reads a project file."""
    return "/import"


def confirm_import() -> str:
    """Creates the project that an import's preview showed (POST)."""
    return "/import/confirm"


def catalogue() -> str:
    """Key sections, cutters and plugs."""
    return "/catalogue"


def new_section() -> str:
    """The form for a new key section."""
    return "/catalogue/sections/new"


def section(section_id: int) -> str:
    """One key section."""
    return f"/catalogue/sections/{section_id}"


def section_preview() -> str:
    """What a key section's measurements come to, without saving."""
    return "/catalogue/sections/preview"


def move_section(section_id: int) -> str:
    """Moves a key section up or down (POST)."""
    return f"{section(section_id)}/move"


def delete_section(section_id: int) -> str:
    """Deletes a key section (POST)."""
    return f"{section(section_id)}/delete"


def plugs() -> str:
    """The form for a new plug."""
    return "/catalogue/plugs"


def plug(plug_id: int) -> str:
    """One plug."""
    return f"/catalogue/plugs/{plug_id}"


def delete_plug(plug_id: int) -> str:
    """Deletes a plug (POST)."""
    return f"{plug(plug_id)}/delete"


def rules() -> str:
    """The shop's rules."""
    return "/rules"


def cautions() -> str:
    """The usual cautions of router work."""
    return "/cautions"


def static(name: str) -> str:
    """A file of ours for the browser; templates use ``static_url``, which adds its version."""
    return f"/static/{quote(name)}"
