"""Every address of the program, made in one place. Routes are written to match; templates call these."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from urllib.parse import quote, urlencode


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


def shop(*project_ids: int) -> str:
    """Shop mode, for a tablet at the machine; books a tick (POST)."""
    return _at_the_machine("/shop", project_ids)


def shop_ticks(*project_ids: int) -> str:
    """What was ticked at the machine, as JSON; books ticks that a device kept (POST)."""
    return _at_the_machine("/shop/ticks", project_ids)


def _at_the_machine(place: str, project_ids: tuple[int, ...]) -> str:
    if len(project_ids) == 1:
        return project(project_ids[0]) + place
    return f"{place}?" + "&".join(f"project={project_id}" for project_id in project_ids)


def ticked_time(project_id: int) -> str:
    """Minutes of the work, planned and ticked."""
    return f"/projects/{project_id}/time"


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


def orders() -> str:
    """The orders that were placed; places an ordering plan (POST)."""
    return "/orders"


def new_order(projects: Iterable[int] = ()) -> str:
    """What to buy for these projects, and to refill what is kept in stock."""
    chosen = "&".join(f"project={project_id}" for project_id in projects)
    return "/orders/new" + (f"?{chosen}" if chosen else "")


def order_request(projects: Iterable[int] = ()) -> str:
    """What an ordering plan is worked out from, as a file that `dovetally order` reads."""
    return new_order(projects).replace("/new", "/new/request.json", 1)


def order_instead(projects: Iterable[int] = ()) -> str:
    """What an ordering plan would come to in other ways."""
    return new_order(projects).replace("/new", "/new/instead", 1)


def order(number: int) -> str:
    """One order."""
    return f"/orders/{number}"


def receive_order(number: int) -> str:
    """Books in what came of an order (POST)."""
    return f"{order(number)}/receive"


def cancel_order(number: int) -> str:
    """Asks before what has not come is cancelled, and cancels it (POST)."""
    return f"{order(number)}/cancel"


def repeat_order(number: int) -> str:
    """An earlier order at today's prices; places it again (POST)."""
    return f"{order(number)}/repeat"


def order_paper(number: int, paper: str) -> str:
    """An order as PDF."""
    return f"{order(number)}/print?paper={quote(paper, safe='')}"


def order_table(number: int, ending: str) -> str:
    """An order as a table: "xlsx" or "csv"."""
    return f"{order(number)}/table.{quote(ending, safe='')}"


def costs(project_id: int) -> str:
    """What a project's keys, plugs and glue cost."""
    return f"/projects/{project_id}/costs"


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


def stockroom() -> str:
    """Everything the shop keeps, with its balances."""
    return "/stockroom"


def stockroom_of(show: str) -> str:
    """The stockroom's items of one sort: "key", "plug", "glue" or "short"."""
    return f"/stockroom?show={quote(show, safe='')}"


def stock_from_catalogue() -> str:
    """Makes an item of everything that the catalogue has a size for (POST)."""
    return "/stockroom/from-catalogue"


def stock_item(item_id: int, before: int | None = None) -> str:
    """One item: its balance, its forms, its ledger (the entries ``before`` one)."""
    return f"/stockroom/items/{item_id}" + ("" if before is None else f"?before={before}#ledger")


def book_item(item_id: int, booking: str) -> str:
    """Books an item in or out (POST): "received", "used", "counted", "adjusted" or "minimum"."""
    return f"/stockroom/items/{item_id}/{quote(booking, safe='')}"


def stock_count() -> str:
    """The stock count: how far it has come today, and the item that is next."""
    return "/stockroom/count"


def count_item(item_id: int) -> str:
    """One item of the stock count; books what was counted (POST)."""
    return f"/stockroom/count/{item_id}"


def project_stock(project_id: int) -> str:
    """What a project needs of the stock, has reserved and has used."""
    return f"/projects/{project_id}/stock"


def go_ahead(project_id: int) -> str:
    """Reserves what a project needs (POST)."""
    return f"{project_stock(project_id)}/go-ahead"


def back_to_planned(project_id: int) -> str:
    """Lets go of what a project has reserved (POST)."""
    return f"{project_stock(project_id)}/planned"


def book_project(project_id: int, booking: str) -> str:
    """The form that books for a project, and books it (POST): "used", "built" or "returned"."""
    return f"{project_stock(project_id)}/{quote(booking, safe='')}"


def suppliers() -> str:
    """Everyone the shop buys from."""
    return "/suppliers"


def new_supplier() -> str:
    """The form for a new supplier."""
    return "/suppliers/new"


def supplier(supplier_id: int) -> str:
    """One supplier: its terms and its offers."""
    return f"/suppliers/{supplier_id}"


def new_offer(supplier_id: int, item: str = "") -> str:
    """The form for a supplier's new offer, of the item of that name."""
    return f"{supplier(supplier_id)}/offers" + (f"?item={quote(item, safe='')}" if item else "")


def offer(offer_id: int) -> str:
    """One offer: its terms and its prices."""
    return f"/offers/{offer_id}"


def price_offer(offer_id: int) -> str:
    """Adds a price that holds from a day on (POST)."""
    return f"{offer(offer_id)}/prices"


def withdraw_offer(offer_id: int) -> str:
    """Withdraws an offer (POST)."""
    return f"{offer(offer_id)}/withdraw"


def export_offers() -> str:
    """All offers as CSV."""
    return "/offers.csv"


def import_offers() -> str:
    """The form that reads offers from a CSV file."""
    return "/import/offers"


def confirm_offers() -> str:
    """Keeps what an import of offers showed (POST)."""
    return "/import/offers/confirm"


def trials() -> str:
    """The book of trials; records one (POST)."""
    return "/trials"


def new_trial(**known: str) -> str:
    """The form for a new trial, with what is ``known`` filled in, by the form's own names."""
    return _with("/trials/new", known)


def trial(number: int, project: str = "") -> str:
    """One trial and what it says; ``project`` is the number of the project whose set-up sheet it came from."""
    return _with(f"/trials/{number}", {"project": project})


def withdraw_trial(number: int) -> str:
    """Lets a trial count no more (POST)."""
    return f"{trial(number)}/withdraw"


def start(**stock: str) -> str:
    """Where a job in such stock starts by the trials: section, cutter, species and thickness."""
    return _with("/trials/start", stock)


def starts() -> str:
    """Accepts a start (POST)."""
    return "/trials/starts"


def end_start(number: int) -> str:
    """Gives an accepted start up again (POST)."""
    return f"/trials/starts/{number}/end"


def mouldings() -> str:
    """Mouldings that come back, with the readings that worked; keeps one (POST)."""
    return "/trials/mouldings"


def new_moulding(**known: str) -> str:
    """The form that keeps a moulding, filled in from an assembly of a project where one is named."""
    return _with("/trials/mouldings/new", known)


def drop_moulding(number: int) -> str:
    """Keeps a moulding no longer (POST)."""
    return f"/trials/mouldings/{number}/delete"


def moulding_of(project_id: int, mark: str) -> str:
    """The form that keeps the readings of a frame of the project."""
    return new_moulding(project=str(project_id), assembly=mark)


def stops(written: int | None = None) -> str:
    """The machine's scales and what they are out by; writes a calibration down (POST)."""
    return "/stops" if written is None else f"/stops?written={written}"


def rules() -> str:
    """The shop's rules."""
    return "/rules"


def cautions() -> str:
    """The usual cautions of router work."""
    return "/cautions"


def static(name: str) -> str:
    """A file of ours for the browser; templates use ``static_url``, which adds its version."""
    return f"/static/{quote(name)}"


def _with(address: str, known: Mapping[str, str]) -> str:
    """The address with what is known and not empty after it."""
    query = urlencode({name: text for name, text in known.items() if text})
    return f"{address}?{query}" if query else address
