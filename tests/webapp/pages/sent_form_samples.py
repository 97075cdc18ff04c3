"""Every form that books, as a person fills it in, and as the person would a second time."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from httpx import Response

from domain.ordering.items import Item
from tests.client import TestClient
from tests.webapp.pages.photograph_samples import add_photograph
from tests.webapp.pages.reading import main, soup
from tests.webapp.pages.trial_forms import CHECKED, PIECE
from tests.webapp.quote_samples import priced_project
from webapp.form.carried import new_token
from webapp.site import urls
from webapp.site.urls import Address
from webapp.store import Store, ledger

Fields = list[tuple[str, str]]


@dataclass(frozen=True)
class Form:
    """A form that books: the page that it stands on, what is typed, and what is typed the second time.

    ``labels`` are what the fields of ``other`` are called where both texts stand side by side.
    """

    action: str
    page: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)
    other: Mapping[str, str] = field(default_factory=dict)
    labels: Sequence[str] = ()
    before: Callable[[TestClient, Store], object] = lambda client, store: None
    elsewhere: bool = False
    """Whether the same again leads to another page than the first did: there is more to be counted, say."""


def form_on(page: Response, action: str) -> Fields:
    """What the page's form for that address would send untouched."""
    found = soup(page).select_one(f'form[action="{action}"], form:has([formaction="{action}"])')
    assert found is not None, f"no form for {action}"
    fields: Fields = []
    for tag in found.select("input[name], select[name], textarea[name]"):
        kind = tag.get("type")
        if tag.name == "select":
            chosen = tag.select_one("option[selected]") or tag.select_one("option")
            assert chosen is not None
            fields.append((str(tag["name"]), str(chosen["value"])))
        elif tag.name == "textarea":
            fields.append((str(tag["name"]), tag.get_text().removeprefix("\n")))
        elif kind not in {"checkbox", "radio"} or tag.has_attr("checked"):
            fields.append((str(tag["name"]), str(tag.get("value", ""))))
    return fields


def with_texts(fields: Fields, texts: Mapping[str, str]) -> Fields:
    """The same with these texts typed, each into the first field of its name."""
    left = dict(texts)
    return [(name, left.pop(name, text)) for name, text in fields] + list(left.items())


def post(client: TestClient, action: str, fields: Fields) -> Response:
    data: dict[str, list[str]] = {}
    for name, text in fields:
        data.setdefault(name, []).append(text)
    answer: Response = client.post(action, data=data)
    return answer


def filled(client: TestClient, form: Form) -> Fields:
    fields = form_on(client.get(form.page), form.action) if form.page else [("token", new_token())]
    return with_texts(fields, form.typed)


def send(client: TestClient, form: Form) -> Response:
    answer = post(client, form.action, filled(client, form))
    assert answer.status_code == 303, main(answer)
    return answer


def renamed(name: str) -> str:
    return json.dumps([{"path": "/name", "value": name}])


def a_wall_of(mm: float) -> str:
    return json.dumps([{"path": "/rules/wall", "value": mm}])


def bars_in_stock(store: Store) -> None:
    """Three bars of a wood of the first project on the shelf."""
    with store.writing() as session:
        ledger.receive(session, Item.bar("cherry", 52, 20, 2150), 3)


def deleted(client: TestClient, store: Store) -> None:
    """The first project lies in the bin."""
    send(client, Form(urls.delete_project(1), urls.delete_project(1)))


def edited(client: TestClient, store: Store) -> None:
    """The first project was changed once: its history has how it was found, and that."""
    send(client, Form(urls.edit_project(1), urls.edit_project(1), {"customer": "Cy"}))


NAMED = {"name": "Bookcase"}
FORMS: dict[Address, Form] = {
    urls.new_project: Form(
        urls.new_project(),
        urls.new_project(),
        {"name": "Bookcase", "customer": "Ada"},
        {"name": "Bookcase, wider"},
        ["Name"],
    ),
    urls.duplicate_project: Form(
        urls.duplicate_project(1),
        urls.duplicate_project(1),
        NAMED,
        {"name": "Bookcase, wider"},
        ["Name of the new project"],
    ),
    urls.keep_pattern: Form(
        urls.keep_pattern(1), urls.keep_pattern(1, assembly=1), {"name": "Door"}, {"name": "Oak door"}, ["Name"]
    ),
    urls.kept_pattern: Form(
        urls.kept_pattern(1),
        urls.kept_pattern(1),
        {"name": "Cupboard door"},
        {"name": "Wardrobe door"},
        ["Name"],
        before=lambda client, store: send(client, FORMS[urls.keep_pattern]),
    ),
    urls.begin_from_pattern: Form(
        urls.begin_from_pattern(1),
        urls.begin_from_pattern(1),
        NAMED,
        {"name": "Bookcase, wider"},
        ["Name of the new project"],
        before=lambda client, store: send(client, FORMS[urls.keep_pattern]),
    ),
    urls.delete_pattern: Form(
        urls.delete_pattern(1),
        urls.kept_patterns(),
        before=lambda client, store: send(client, FORMS[urls.keep_pattern]),
    ),
    urls.edit_project: Form(
        urls.edit_project(1), urls.edit_project(1), {"customer": "Ada"}, {"customer": "Bo"}, ["Customer"]
    ),
    urls.project_state: Form(
        urls.project_state(1),
        urls.project_state(1),
        {"stage": "asked", "due": "2026-12-18"},
        {"due": "2026-12-19"},
        ["Due"],
    ),
    urls.put_away: Form(urls.put_away(1), urls.project(1)),
    urls.bring_back: Form(
        urls.bring_back(1),
        urls.project(1),
        before=lambda client, store: send(client, FORMS[urls.put_away]),
    ),
    urls.project_note: Form(
        urls.project_note(1),
        urls.project_note(1, mark="A"),
        {"note": "Glue on Friday"},
        {"note": "Glue on Monday"},
        ["Note"],
    ),
    urls.describe_photograph: Form(
        urls.describe_photograph(1, 1),
        urls.describe_photograph(1, 1),
        {"caption": "The corner, open"},
        {"caption": "The corner, closed"},
        ["Caption"],
        before=lambda client, store: add_photograph(client),
    ),
    urls.remove_photograph: Form(
        urls.remove_photograph(1, 1),
        urls.photographs(1),
        before=lambda client, store: add_photograph(client),
    ),
    urls.movement: Form(
        urls.movement(1),
        urls.movement(1),
        {"from.moisture": "8", "to.temperature": "20", "to.humidity": "65"},
        {"from.moisture": "9"},
        ["Moisture, shop"],
    ),
    urls.new_assembly: Form(
        urls.new_assembly(1, "box"),
        urls.new_assembly(1, "box"),
        {"length": "500", "width": "206", "height": "118", "wall": "14", "name": "Tray"},
        {"name": "Deep tray", "length": "510"},
        ["What it is: Name", "Size: Length"],
    ),
    urls.sizes_table: Form(
        urls.sizes_table(1), urls.sizes_table(1), {"a1.name": "Door"}, {"a1.name": "Oak door"}, ["A, Name"]
    ),
    urls.assembly: Form(
        urls.assembly(1, 1), urls.assembly(1, 1), {"name": "Door"}, {"name": "Oak door"}, ["What it is: Name"]
    ),
    urls.duplicate_assembly: Form(urls.duplicate_assembly(1, 1), urls.project(1)),
    urls.move_assembly: Form(
        urls.move_assembly(1, 1), urls.project(1), {"step": "down"}, {"step": "up"}, ["Step"]
    ),
    urls.cutting_stock: Form(
        urls.cutting_stock(1),
        urls.cutting_stock(1, item="cherry 52 × 20"),
        {"stock": "2150 at 9.80", "trim": "11"},
        {"stock": "2150 at 10.30"},
        ["Cut from"],
    ),
    urls.project_quote: Form(
        urls.project_quote(1),
        urls.project_quote(1),
        {"rate": "47.20", "work": "Sanding, 80 min"},
        {"rate": "51.60"},
        ["Rate of work"],
    ),
    urls.issue_quote: Form(
        urls.issue_quote(1),
        urls.project_quote(1),
        {"paper": "A4"},
        {"paper": "Letter"},
        ["Paper"],
        before=lambda client, store: priced_project(store, 1),
    ),
    urls.quote_terms: Form(
        urls.quote_terms, urls.quote_terms, {"rate": "44.10", "margin": "9"}, {"margin": "13"}, ["Margin"]
    ),
    urls.book_cut: Form(urls.book_cut(1), urls.cutting(1), before=lambda client, store: bars_in_stock(store)),
    urls.carry_out: Form(
        urls.carry_out(1, 1),
        "",
        {"joint": "A-J1", "assembly": "1", "version": "1", "changes": renamed("Door")},
        {"changes": renamed("Oak door")},
        ["Change"],
        elsewhere=True,
    ),
    urls.change_rules: Form(
        urls.change_rules(1),
        "",
        {"joint": "A-J1", "assembly": "1", "project_version": "1", "changes": a_wall_of(1.9)},
        {"changes": a_wall_of(1.8)},
        ["Change"],
        elsewhere=True,
    ),
    urls.delete_assembly: Form(urls.delete_assembly(1, 1), urls.delete_assembly(1, 1)),
    urls.delete_project: Form(urls.delete_project(1), urls.delete_project(1)),
    urls.out_of_bin: Form(urls.out_of_bin(3), urls.the_bin(), before=deleted),
    urls.empty_bin: Form(urls.empty_bin(), urls.empty_bin(), before=deleted),
    urls.undo_edit: Form(urls.undo_edit(4), urls.history(1), before=edited),
    urls.bring_state_back: Form(urls.bring_state_back(1, 3), urls.past_state(1, 3), before=edited),
    urls.change_part: Form(
        urls.change_part(1),
        urls.change_part(1, mark="A1"),
        {"mark": "A1", "rough_length": "9000", "note": "from the long board"},
        {"note": "from the short board"},
        ["Note"],
    ),
    urls.part_as_planned: Form(
        urls.part_as_planned(1),
        urls.parts(1),
        {"mark": "A1"},
        before=lambda client, store: send(client, FORMS[urls.change_part]),
    ),
    urls.revisions: Form(urls.revisions(1), urls.revisions(1), {"paper": "A4"}, {"paper": "Letter"}, ["Paper"]),
    urls.duplicate_revision: Form(
        urls.duplicate_revision(1, 1),
        urls.duplicate_revision(1, 1),
        NAMED,
        {"name": "Bookcase, wider"},
        ["Name of the new project"],
        before=lambda client, store: send(client, FORMS[urls.revisions]),
    ),
    urls.orders: Form(urls.orders(), urls.new_order(project=1)),
    urls.repeat_order: Form(
        urls.repeat_order(2), urls.repeat_order(2), before=lambda client, store: send(client, FORMS[urls.orders])
    ),
    urls.receive_order: Form(
        urls.receive_order(1),
        urls.order(1),
        {"packs-1": "1", "packs-2": "", "packs-3": "", "note": "note 77"},
        {"packs-1": "2", "note": "note 78"},
        ["Line 1, packs", "Note"],
    ),
    urls.cancel_order: Form(urls.cancel_order(1), urls.cancel_order(1)),
    urls.new_section: Form(
        urls.new_section(),
        urls.new_section(),
        {
            "name": "9",
            "waist": "9",
            "depth": "5",
            "depth_of": "one_side",
            "flank": "12",
            "tip_diameter": "11.2",
            "stock_from": "9",
            "stock_to": "20",
            "length": "12",
        },
        {"name": "9 short", "length": "11"},
        ["Name", "Lengths"],
    ),
    urls.section: Form(urls.section(1), urls.section(1), {"stock_to": "41"}, {"stock_to": "42"}),
    urls.move_section: Form(urls.move_section(2), urls.catalogue()),
    urls.delete_section: Form(urls.delete_section(2), urls.section(2)),
    urls.plugs: Form(
        urls.plugs(),
        urls.plugs(),
        {"material": "ash", "height": "3"},
        {"material": "ash, brown"},
        ["Wood"],
    ),
    urls.plug: Form(urls.plug(1), urls.plug(1), {"height": "3.5"}, {"height": "4.5"}),
    urls.delete_plug: Form(urls.delete_plug(1), urls.plug(1)),
    urls.stock_from_catalogue: Form(urls.stock_from_catalogue()),
    urls.new_wood: Form(
        urls.new_wood(),
        urls.new_wood(),
        {"kind": "bar", "material": "plum", "thickness": "22", "width": "52", "length": "1950", "quantity": "3"},
        {"length": "1850", "quantity": "4"},
        ["Length", "How much"],
    ),
    urls.book_item: Form(
        urls.book_item(1, "received"),
        urls.stock_item(1),
        {"received.quantity": "10", "received.note": "a"},
        {"received.quantity": "999", "received.note": "b"},
        ["Received", "Note"],
    ),
    urls.count_item: Form(
        urls.count_item(1),
        urls.count_item(1),
        {"counted.quantity": "10"},
        {"counted.quantity": "11"},
        ["Counted"],
        elsewhere=True,
    ),
    urls.go_ahead: Form(urls.go_ahead(1), urls.project_stock(1)),
    urls.back_to_planned: Form(
        urls.back_to_planned(1),
        urls.project_stock(1),
        before=lambda client, store: send(client, FORMS[urls.go_ahead]),
    ),
    urls.book_project: Form(
        urls.book_project(1, "used"),
        urls.book_project(1, "used"),
        {"quantity.0": "1", "note": "a"},
        {"note": "b", "quantity.0": "2"},
        ["Note"],
        before=lambda client, store: send(client, FORMS[urls.go_ahead]),
    ),
    urls.new_supplier: Form(
        urls.new_supplier(), urls.new_supplier(), {"name": "West"}, {"name": "West and sons"}, ["Name"]
    ),
    urls.supplier: Form(
        urls.supplier(1), urls.supplier(1), {"shipping": "7.10"}, {"shipping": "7.20"}, ["Shipping"]
    ),
    urls.new_offer: Form(
        urls.new_offer(1),
        urls.new_offer(1),
        {"item": "glue", "size": "750", "price": "9.10"},
        {"price": "9.20"},
        ["Price of a pack"],
    ),
    urls.offer: Form(urls.offer(1), urls.offer(1), {"article": "A-1"}, {"article": "A-2"}, ["Article number"]),
    urls.price_offer: Form(
        urls.price_offer(1), urls.offer(1), {"price": "9.10"}, {"price": "9.20"}, ["Price of a pack"]
    ),
    urls.withdraw_offer: Form(urls.withdraw_offer(1), urls.offer(1), elsewhere=True),
    urls.trials: Form(urls.trials(), "", PIECE, {"species": "ash"}),
    urls.withdraw_trial: Form(
        urls.withdraw_trial(1),
        urls.trial(1),
        {"why": "misread"},
        {"why": "gauge misread"},
        ["Why it is withdrawn"],
        before=lambda client, store: send(client, FORMS[urls.trials]),
    ),
    urls.mouldings: Form(
        urls.mouldings(),
        urls.new_moulding(),
        {
            "name": "No. 7",
            "fence_readings": "16.5",
            "projection": "6",
            "width": "45",
            "thickness": "20",
            "tool": PIECE["tool"],
        },
        {"name": "No. 8"},
        ["Name"],
    ),
    urls.drop_moulding: Form(
        urls.drop_moulding(1),
        urls.mouldings(),
        before=lambda client, store: send(client, FORMS[urls.mouldings]),
    ),
    urls.scales: Form(urls.scales(), "", CHECKED, {"measured": "16.9"}, ["Measured"]),
    urls.backups: Form(urls.backups(), urls.backups(), elsewhere=True),
    urls.rules: Form(urls.rules(), urls.rules(), {"name": "Shop 7"}, {"name": "Shop 8"}),
}
