"""What becomes of a form that books once: where each of them leads, and what its texts are called.

One line a route. It is read where a form was acted on before: by the page that asks whether it was saved,
by the answer to the same form again, and by the page that lays another text beside it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from webapp.form.fields import SimpleForm
from webapp.form.several import SIZES
from webapp.pages.catalogue.plugs import PLUG
from webapp.pages.catalogue.section_form import MOST_ROWS, section_form
from webapp.pages.catalogue.sections import section_saved
from webapp.pages.past.bin import page_of
from webapp.pages.projects.kept_patterns import BEGUN, PATTERN
from webapp.pages.projects.movement import CLIMATE
from webapp.pages.projects.notes import NOTE, place_of
from webapp.pages.projects.photographs import DESCRIBED
from webapp.pages.projects.project_state import STATE
from webapp.pages.projects.project_state import led as state_led
from webapp.pages.projects.projects import EDIT, NEW, project_made
from webapp.pages.projects.table import said_table
from webapp.pages.quotes.quote import said_quote
from webapp.pages.quotes.quote_form import SHOP as QUOTE_TERMS
from webapp.pages.shop.rules import FORM as RULES
from webapp.pages.shop.said_assembly import said_assembly
from webapp.pages.stock.movement_form import Booking, booking_form
from webapp.pages.stock.new_wood import FORM as WOOD
from webapp.pages.stock.offers import COSTS, PACK
from webapp.pages.stock.offers import NEW as OFFER
from webapp.pages.stock.suppliers import SUPPLIER
from webapp.pages.timber.cutting_stock import STOCK
from webapp.pages.timber.part_change import CHANGE
from webapp.pages.trials.mouldings import MOULDING
from webapp.pages.trials.scales import CALIBRATION
from webapp.pages.trials.trial_rows import sheet_of
from webapp.pages.trials.trials import TRIAL
from webapp.site import urls
from webapp.site.urls import Address
from webapp.store import Store
from webapp.store.tokens import Texts

Places = Mapping[str, str]
"""What stands in the places of a route's address, by their names."""
Said = Mapping[str, str]
"""Texts by what their fields are called."""


@dataclass(frozen=True, slots=True)
class Acted:
    """A form that was acted on: the numbers of what it made, the places of its address, its last texts."""

    numbers: tuple[int, ...]
    places: Places
    texts: Mapping[str, str]

    @property
    def made(self) -> int:
        """The number of what it made, the first where it made several."""
        return self.numbers[0]

    def at(self, place: str) -> int:
        """The number in a place of its address."""
        return int(self.places[place])


@dataclass(frozen=True, slots=True)
class SentRoute:
    """A route that books once. ``led`` is where it led, ``said`` its texts as its page calls them.

    ``edited`` is the form that changes what it made, where it takes the same texts; None elsewhere, or "" where it
    does not take these, which are those of both sendings.
    ``another`` is what sending it again makes, in words.
    """

    led: Callable[[Acted], str]
    said: Callable[[Store, Mapping[str, str], Places], Said]
    edited: Callable[[Acted], str] | None = None
    another: str = ""


def route_of(path: str) -> tuple[SentRoute, Places] | None:
    """The route that a path belongs to, and what stands in its places; None for one that books nothing."""
    for pattern, route in _patterns():
        found = pattern.fullmatch(path)
        if found:
            return route, found.groupdict()
    return None


def last_texts(texts: Texts) -> dict[str, str]:
    """The texts by name, rows that repeat a name as ``length[0]`` and under the name itself the last of them."""
    return {name: sent[-1] for name, sent in texts} | {
        f"{name}[{row}]": text for name, sent in texts for row, text in enumerate(sent)
    }


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], SentRoute], ...]:
    return tuple((re.compile(_PLACE.sub(_place, re.escape(address))), route) for address, route in _ROUTES.items())


_PLACE = re.compile(r"\\\{(\w+)\\\}")
_NOT_NUMBERS = {"kind": "[a-z_]+", "booking": "[a-z_]+", "name": "[^/]+"}


def _place(place: re.Match[str]) -> str:
    return f"(?P<{place[1]}>{_NOT_NUMBERS.get(place[1], '[0-9]+')})"


def _of(form: SimpleForm) -> Callable[[Store, Mapping[str, str], Places], Said]:
    """The texts of a form, each choice in its words."""

    def said(store: Store, texts: Mapping[str, str], places: Places) -> Said:
        if form.compared is not None:
            return form.said(texts)
        return {
            field.label: dict(field.options).get(texts.get(field.name, ""), texts.get(field.name, ""))
            for field in form.fields
        }

    return said


def _called(**labels: str) -> Callable[[Store, Mapping[str, str], Places], Said]:
    """Texts of a form that has no description: those named here, under these words."""

    def said(store: Store, texts: Mapping[str, str], places: Places) -> Said:
        return {label: texts.get(name, "") for name, label in labels.items()}

    return said


def _said_booking(store: Store, texts: Mapping[str, str], places: Places) -> Said:
    return _of(booking_form(Booking(places["booking"]), ""))(store, texts, places)


def _said_packs(store: Store, texts: Mapping[str, str], places: Places) -> Said:
    """Packs of an order's lines."""
    packs = {
        int(name.removeprefix("packs-")): text for name, text in texts.items() if re.fullmatch(r"packs-\d+", name)
    }
    said = {f"Line {position}, packs": packs[position] for position in sorted(packs)}
    return said | {"All that is still to come": "yes" if texts.get("all") else "", "Note": texts.get("note", "")}


def _said_quantities(store: Store, texts: Mapping[str, str], places: Places) -> Said:
    """Quantities by the items that were sent with them: the project's lines may be others by now."""
    said = {item: texts.get(f"quantity.{place}", "") for place, item in _items(texts)}
    return said | {"Note": texts.get("note", "")}


def _items(texts: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    for name, text in texts.items():
        if re.fullmatch(r"item\.\d+", name):
            yield name.removeprefix("item."), text


_A_COPY = _called(name="Name of the new project")
_A_BUTTON = _called()
_A_FILE = _called(document="File")
_A_CHANGE = _called(changes="Change")
_SECTION = section_form(MOST_ROWS)


def _changed_joint(acted: Acted) -> str:
    mark, changed = acted.texts.get("joint", ""), acted.texts.get("assembly", "")
    return urls.schedule(acted.at("project_id"), at=f"joint-{mark}", changed=changed)


def _of_section(acted: Acted) -> str:
    return urls.catalogue(at=f"section-{acted.at('section_id')}")


def _to_parts(acted: Acted) -> str:
    return urls.parts(acted.at("project_id"), at=f"part-{acted.texts.get('mark', '')}")


_ROUTES: dict[Address, SentRoute] = {
    urls.new_project: SentRoute(
        lambda acted: project_made(acted.made, acted.texts.get("kind", "")),
        _of(NEW),
        lambda acted: urls.edit_project(acted.made),
        "another project",
    ),
    urls.duplicate_project: SentRoute(lambda acted: urls.project(acted.made), _A_COPY, another="another project"),
    urls.keep_pattern: SentRoute(
        lambda acted: urls.kept_patterns(at=f"pattern-{acted.made}"),
        _of(PATTERN),
        lambda acted: urls.kept_pattern(acted.made),
        "another pattern",
    ),
    urls.kept_pattern: SentRoute(
        lambda acted: urls.kept_patterns(at=f"pattern-{acted.at('pattern_id')}"), _of(PATTERN)
    ),
    urls.delete_pattern: SentRoute(lambda acted: urls.kept_patterns(), _A_BUTTON),
    urls.begin_from_pattern: SentRoute(
        lambda acted: urls.project(acted.made), _of(BEGUN), another="another project"
    ),
    urls.confirm_import: SentRoute(lambda acted: urls.project(acted.made), _A_FILE, another="another project"),
    urls.edit_project: SentRoute(lambda acted: urls.project(acted.at("project_id")), _of(EDIT)),
    urls.project_state: SentRoute(
        lambda acted: state_led(acted.at("project_id"), acted.texts.get("was", ""), acted.texts.get("stage", "")),
        _of(STATE),
    ),
    urls.put_away: SentRoute(lambda acted: urls.projects(), _A_BUTTON),
    urls.bring_back: SentRoute(lambda acted: urls.project(acted.at("project_id")), _A_BUTTON),
    urls.project_note: SentRoute(
        lambda acted: place_of(acted.at("project_id"), acted.texts.get("mark", "")), _of(NOTE)
    ),
    urls.photographs: SentRoute(
        lambda acted: urls.photographs(acted.at("project_id"), at=f"photograph-{acted.made}"),
        _called(mark="Photograph of", caption="Caption", file="The photograph's sum"),
        another="another photograph",
    ),
    urls.describe_photograph: SentRoute(
        lambda acted: urls.photographs(acted.at("project_id"), at=f"photograph-{acted.at('number')}"),
        _of(DESCRIBED),
    ),
    urls.remove_photograph: SentRoute(lambda acted: urls.photographs(acted.at("project_id")), _A_BUTTON),
    urls.new_assembly: SentRoute(
        lambda acted: (
            urls.new_assembly(acted.at("project_id"), acted.places["kind"])
            if acted.texts.get("next")
            else urls.in_project(acted.at("project_id"), acted.made)
        ),
        said_assembly,
        # lines of sizes make several, of which no one form changes them all
        lambda acted: "" if acted.texts.get(SIZES) else urls.assembly(acted.at("project_id"), acted.made),
        "another assembly",
    ),
    urls.add_list: SentRoute(
        lambda acted: urls.in_project(acted.at("project_id"), acted.made),
        _called(document="List"),
        another="another list",
    ),
    urls.sizes_table: SentRoute(lambda acted: urls.project(acted.at("project_id")), said_table),
    urls.assembly: SentRoute(
        lambda acted: urls.in_project(acted.at("project_id"), acted.at("assembly_id")), said_assembly
    ),
    urls.duplicate_assembly: SentRoute(
        lambda acted: urls.in_project(acted.at("project_id"), acted.made), _A_BUTTON
    ),
    urls.move_assembly: SentRoute(
        lambda acted: urls.in_project(acted.at("project_id"), acted.at("assembly_id")), _called(step="Step")
    ),
    urls.carry_out: SentRoute(_changed_joint, _A_CHANGE),
    urls.change_rules: SentRoute(_changed_joint, _A_CHANGE),
    urls.delete_assembly: SentRoute(lambda acted: urls.project(acted.at("project_id")), _A_BUTTON),
    urls.delete_project: SentRoute(lambda acted: urls.projects(), _A_BUTTON),
    # what used to be
    urls.out_of_bin: SentRoute(lambda acted: page_of(acted.numbers), _A_BUTTON),
    urls.undo_edit: SentRoute(lambda acted: page_of(acted.numbers), _A_BUTTON),
    urls.empty_bin: SentRoute(lambda acted: urls.the_bin(), _A_BUTTON),
    urls.bring_state_back: SentRoute(lambda acted: urls.project(acted.at("project_id")), _A_BUTTON),
    urls.movement: SentRoute(lambda acted: urls.movement(acted.at("project_id")), _of(CLIMATE)),
    # timber
    urls.change_part: SentRoute(_to_parts, _of(CHANGE)),
    urls.part_as_planned: SentRoute(_to_parts, _called(mark="Part")),
    # cutting
    urls.cutting_stock: SentRoute(lambda acted: urls.cutting(acted.at("project_id")), _of(STOCK)),
    urls.book_cut: SentRoute(lambda acted: urls.project_stock(acted.at("project_id"), booked="used"), _A_BUTTON),
    # revisions
    urls.revisions: SentRoute(
        lambda acted: urls.revision(acted.at("project_id"), acted.made),
        _called(paper="Paper"),
        another="another revision",
    ),
    # quotes
    urls.project_quote: SentRoute(lambda acted: urls.project_quote(acted.at("project_id")), said_quote),
    urls.issue_quote: SentRoute(
        lambda acted: urls.issued_quote(acted.made), _called(paper="Paper"), another="another quote"
    ),
    urls.quote_terms: SentRoute(lambda acted: urls.quote_terms(saved="true"), _of(QUOTE_TERMS)),
    urls.duplicate_revision: SentRoute(lambda acted: urls.project(acted.made), _A_COPY, another="another project"),
    # orders
    urls.orders: SentRoute(
        lambda acted: urls.order(acted.made) if len(acted.numbers) == 1 else urls.orders(), _A_BUTTON
    ),
    urls.repeat_order: SentRoute(lambda acted: urls.order(acted.made), _A_BUTTON),
    urls.receive_order: SentRoute(lambda acted: urls.order(acted.at("number")), _said_packs),
    urls.cancel_order: SentRoute(lambda acted: urls.order(acted.at("number")), _A_BUTTON),
    # catalogue
    urls.new_section: SentRoute(
        lambda acted: section_saved(acted.made, acted.texts.get("act", "")),
        _of(_SECTION),
        lambda acted: urls.section(acted.made),
        "another section",
    ),
    urls.section: SentRoute(_of_section, _of(_SECTION)),
    urls.move_section: SentRoute(_of_section, _called(step="Step")),
    urls.delete_section: SentRoute(lambda acted: urls.catalogue(), _A_BUTTON),
    urls.plugs: SentRoute(
        lambda acted: urls.catalogue(at="plugs"), _of(PLUG), lambda acted: urls.plug(acted.made), "another plug"
    ),
    urls.plug: SentRoute(lambda acted: urls.catalogue(at="plugs"), _of(PLUG)),
    urls.delete_plug: SentRoute(lambda acted: urls.catalogue(at="plugs"), _A_BUTTON),
    # stock
    urls.stock_from_catalogue: SentRoute(lambda acted: urls.stockroom(), _A_BUTTON),
    urls.new_wood: SentRoute(
        lambda acted: urls.stock_item(acted.made, booked=acted.numbers[1]),
        _of(WOOD),
        lambda acted: urls.stock_item(acted.made),
        "another booking",
    ),
    urls.book_item: SentRoute(
        lambda acted: urls.stock_item(
            acted.at("item_id"),
            booked=0 if acted.places["booking"] == Booking.MINIMUM else acted.made,
        ),
        _said_booking,
        another="another booking",
    ),
    urls.count_item: SentRoute(
        lambda acted: urls.stock_count(item=acted.at("item_id"), counted=acted.made),
        _of(booking_form(Booking.COUNTED, "")),
    ),
    urls.go_ahead: SentRoute(lambda acted: urls.project_stock(acted.at("project_id")), _A_BUTTON),
    urls.back_to_planned: SentRoute(lambda acted: urls.project_stock(acted.at("project_id")), _A_BUTTON),
    urls.book_project: SentRoute(
        lambda acted: urls.project_stock(acted.at("project_id"), booked=acted.places["booking"]),
        _said_quantities,
        another="another booking",
    ),
    # suppliers and offers
    urls.new_supplier: SentRoute(
        lambda acted: urls.supplier(acted.made),
        _of(SUPPLIER),
        lambda acted: urls.supplier(acted.made),
        "another supplier",
    ),
    urls.supplier: SentRoute(lambda acted: urls.supplier(acted.at("supplier_id")), _of(SUPPLIER)),
    urls.new_offer: SentRoute(
        lambda acted: urls.supplier(acted.at("supplier_id"), at="offers"), _of(OFFER), another="another offer"
    ),
    urls.offer: SentRoute(lambda acted: urls.offer(acted.at("offer_id")), _of(PACK)),
    urls.price_offer: SentRoute(
        lambda acted: urls.offer(acted.at("offer_id")), _of(COSTS), another="another price"
    ),
    urls.withdraw_offer: SentRoute(lambda acted: urls.offer(acted.at("offer_id")), _A_BUTTON),
    urls.confirm_offers: SentRoute(lambda acted: urls.suppliers(), _A_FILE),
    # trials and scales
    urls.trials: SentRoute(
        lambda acted: urls.trial(
            acted.made, project=acted.texts["project"] if sheet_of(acted.texts.get("project", "")) else ""
        ),
        _of(TRIAL),
        another="another trial",
    ),
    urls.withdraw_trial: SentRoute(
        lambda acted: urls.trial(acted.at("number")), _called(why="Why it is withdrawn")
    ),
    urls.starts: SentRoute(
        lambda acted: sheet_of(acted.texts.get("project", "")) or urls.trials(at="starts"),
        _called(wood="For", projection="Projection"),
    ),
    urls.end_start: SentRoute(lambda acted: urls.trials(at="starts"), _A_BUTTON),
    urls.drop_moulding: SentRoute(lambda acted: urls.mouldings(), _A_BUTTON),
    urls.mouldings: SentRoute(
        lambda acted: urls.mouldings(at=f"moulding-{acted.made}"), _of(MOULDING), another="another moulding"
    ),
    urls.scales: SentRoute(
        lambda acted: urls.scales(written=acted.made), _of(CALIBRATION), another="another calibration"
    ),
    # backups
    urls.backups: SentRoute(lambda acted: urls.backups(), _A_BUTTON, another="another backup"),
    urls.unarchive: SentRoute(lambda acted: urls.projects(), _called(file="The archive's sum")),
    urls.restore: SentRoute(lambda acted: urls.backups(), _A_BUTTON),
    urls.rules: SentRoute(lambda acted: urls.rules(saved="true"), _of(RULES)),
}
