"""Every address of the program, written once: a route is declared with it, a page calls it with its values."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from urllib.parse import quote, urlencode

Value = int | str | Sequence[int] | None


class Address(str):
    """A path with places such as ``{project_id}``: as text a route's pattern, called an address.

    >>> order_paper = Address("/orders/{number}/print")
    >>> order_paper(3, paper="A4")
    '/orders/3/print?paper=A4'
    """

    def __call__(self, *values: int | str, at: str = "", **query: Value) -> str:
        """The address with ``values`` in its places, in their order, and what is not empty of ``query``.

        ``at`` is a place on that page. Raises ``TypeError`` if there are more places or fewer than values.
        """
        if len(values) != len(self.places):
            raise TypeError(f"{self!r} takes {len(self.places)} values, not {len(values)}")
        given = dict(zip(self.places, values, strict=True))
        path = _PLACE.sub(lambda place: quote(str(given[place[1]]), safe="/" if place[2] else ""), self)
        asked = urlencode({name: value for name, value in query.items() if value not in (None, "")}, doseq=True)
        return _WITHIN.get() + path + (f"?{asked}" if asked else "") + (f"#{at}" if at else "")

    @property
    def places(self) -> tuple[str, ...]:
        """The names of what the address takes."""
        return tuple(place[1] for place in _PLACE.finditer(self))


_WITHIN: ContextVar[str] = ContextVar("within", default="")


@contextmanager
def within(place: str) -> Iterator[None]:
    """For the length of the block, addresses that are called lead to that place: "/demo/projects"."""
    token = _WITHIN.set(place)
    try:
        yield
    finally:
        _WITHIN.reset(token)


def way_in() -> str:
    """Into the demo, from wherever: its projects."""
    return demo + str(projects)


def way_out() -> str:
    """Out of the demo: to the shop's own projects."""
    return str(projects)


_PLACE = re.compile(r"\{(\w+)(:path)?\}")

home = Address("/")
cautions = Address("/cautions")
glossary = Address("/glossary")
rules = Address("/rules")
quote_terms = Address("/rules/quotes")  # what quotes usually go by
look = Address("/look")  # light or dark, how large; ?back=the page one came from
sent_form = Address("/sent/{token}")  # whether a form was saved, as JSON
backups = Address("/backups")  # ?made=a backup just made, ?before=what was there before a restore
second_folder = Address("/backups/second-folder")
backup = Address("/backups/files/{name}")
backup_file = Address("/backups/files/{name}/download")
restore = Address("/backups/files/{name}/restore")
archive = Address("/backups/archive.zip")  # the whole shop, open to any program
unarchive = Address("/backups/unarchive")
job = Address("/work/{key}")  # long work under way
end_job = Address("/work/{key}/end")
job_result = Address("/work/{key}/result")
health = Address("/health")  # ?check=now
devices = Address("/devices")
door = Address("/devices/door")  # lets other devices in, or shuts them out, while the program runs
device_code = Address("/devices/code")  # a code to pair with, shown on the page of devices
end_device = Address("/devices/{number}/end")
pair = Address("/pair")  # where a device that is not paired types its code
patterns = Address("/patterns")  # every styled component once, for whoever changes a style
static_files = "/static"
static = Address(static_files + "/{name:path}")  # templates use ``static_url``, which adds its version
api_check = Address("/api/check")
api_takeoff = Address("/api/takeoff")
api_setups = Address("/api/setups")
api_order = Address("/api/order")
api_cutting = Address("/api/cutting")
api_quote = Address("/api/quote")
api_print = Address("/api/print")  # ?kind, ?paper, ?label, ?address
api_description = Address("/api/openapi.json")

# what used to be
the_bin = Address("/bin")
out_of_bin = Address("/bin/{row}/back")
empty_bin = Address("/bin/empty")
undo_edit = Address("/edits/{edit}/undo")

# projects
demo = "/demo"  # the demo workshop: every other address below it, over a store of its own
demo_afresh = Address("/afresh")  # below it alone
projects = Address("/projects")  # ?find=words, ?state, ?sort, ?away=yes for those put away, ?page
new_project = Address("/projects/new")
project = Address("/projects/{project_id}")  # ?of=the mark, ?shown=the number of an assembly on the page
edit_project = Address("/projects/{project_id}/edit")  # its own fields: name, customer, units
delete_project = Address("/projects/{project_id}/delete")
project_state = Address("/projects/{project_id}/state")  # how far the job has come, and when it is due
project_note = Address("/projects/{project_id}/note")  # ?mark=of an assembly or a joint; the project's own without
photographs = Address("/projects/{project_id}/photographs")  # ?mark=of an assembly or a joint, to add one there
photograph = Address("/projects/{project_id}/photographs/{sum_of_it}")  # by the SHA-256 of its bytes
small_photograph = Address("/projects/{project_id}/photographs/{sum_of_it}/small")
photographs_paper = Address("/projects/{project_id}/photographs/print")  # ?paper
describe_photograph = Address("/projects/{project_id}/photographs/{number}/edit")  # its caption, and what it is of
remove_photograph = Address("/projects/{project_id}/photographs/{number}/remove")
put_away = Address("/projects/{project_id}/put-away")
bring_back = Address("/projects/{project_id}/bring-back")
duplicate_project = Address("/projects/{project_id}/duplicate")
export = Address("/projects/{project_id}/export")
import_project = Address("/import")
confirm_import = Address("/import/confirm")

# patterns to begin from
kept_patterns = Address("/kept-patterns")  # ?project=one that an assembly is begun in
kept_pattern = Address("/kept-patterns/{pattern_id}")  # its name
begin_from_pattern = Address("/kept-patterns/{pattern_id}/begin")
delete_pattern = Address("/kept-patterns/{pattern_id}/delete")
keep_pattern = Address("/projects/{project_id}/keep")  # ?assembly=the number of one; the whole without

# assemblies; ``kind`` as "mitred_frame"
import_list = Address("/projects/{project_id}/list")
add_list = Address("/projects/{project_id}/list/add")
list_template = Address("/projects/{project_id}/list/headings.csv")
sizes_table = Address("/projects/{project_id}/sizes")
new_assembly = Address("/projects/{project_id}/assemblies/new/{kind}")  # ?pattern=one that it is filled from
new_assembly_preview = Address("/projects/{project_id}/assemblies/new/{kind}/preview")
new_assembly_pictorials = Address("/projects/{project_id}/assemblies/new/{kind}/pictorials")
assembly = Address("/projects/{project_id}/assemblies/{assembly_id}")
assembly_preview = Address("/projects/{project_id}/assemblies/{assembly_id}/preview")
assembly_pictorials = Address("/projects/{project_id}/assemblies/{assembly_id}/pictorials")
duplicate_assembly = Address("/projects/{project_id}/assemblies/{assembly_id}/duplicate")
move_assembly = Address("/projects/{project_id}/assemblies/{assembly_id}/move")
carry_out = Address("/projects/{project_id}/assemblies/{assembly_id}/advice")  # a change that is proposed
change_rules = Address("/projects/{project_id}/rules/advice")  # a change of the project's rules that is proposed
delete_assembly = Address("/projects/{project_id}/assemblies/{assembly_id}/delete")

history = Address("/projects/{project_id}/history")  # ?before=the last edit of the page before
past_state = Address("/projects/{project_id}/history/{edit}")
bring_state_back = Address("/projects/{project_id}/history/{edit}/back")

# what a project comes to
schedule = Address("/projects/{project_id}/schedule")  # ?of=an assembly's mark, ?part=a part's
setting_out = Address("/projects/{project_id}/setting-out")  # ?of=an assembly's mark
assembly_sheet = Address("/projects/{project_id}/assembly-sheet")  # ?of=an assembly's mark
keys = Address("/projects/{project_id}/keys")
movement = Address("/projects/{project_id}/movement")  # its climate, and how its wood moves
movement_air = Address("/projects/{project_id}/movement/air")  # what wood comes to in the air that is typed
costs = Address("/projects/{project_id}/costs")
costs_paper = Address("/projects/{project_id}/costs/print")  # ?paper
costs_table = Address("/projects/{project_id}/costs/table.{ending}")
table = Address("/projects/{project_id}/tables/{name}.{ending}")  # such as "schedule", "csv"
project_quote = Address("/projects/{project_id}/quote")
quote_reckoning = Address("/projects/{project_id}/quote/reckoning")  # what the form comes to, nothing saved
issue_quote = Address("/projects/{project_id}/quote/issue")
quote_draft = Address("/projects/{project_id}/quote/print/{kind}")  # ?paper
quote_table = Address("/projects/{project_id}/quote/table.{ending}")
quotes = Address("/quotes")  # every quote that was issued
issued_quote = Address("/quotes/{number}")
issued_quote_paper = Address("/quotes/{number}/documents/{kind}/{paper}")
face = Address("/projects/{project_id}/faces/{joint}.svg")  # a joint's mating face at full size
draft = Address("/projects/{project_id}/print/{kind}")  # a document of the project as it stands, not kept; ?paper

# timber
parts = Address("/projects/{project_id}/parts")
parts_together = Address("/parts")  # of several projects: ?project=1&project=2
parts_table = Address("/parts/table.{ending}")  # the same as a file
parts_paper = Address("/parts/print")  # the same as a document: ?project=1&project=2, ?paper
change_part = Address("/projects/{project_id}/parts/change")  # ?mark=A1
part_as_planned = Address("/projects/{project_id}/parts/as-planned")  # takes a change back
timber = Address("/projects/{project_id}/timber")  # ?width=the mean width of boards
timber_together = Address("/timber")  # of several projects: ?project=1&project=2, and ?width
timber_paper = Address("/timber/print")  # the same as a document: ?project=1&project=2, ?width, ?paper
timber_table = Address("/timber/table.{ending}")  # the same as a file
# cutting
cutting = Address("/projects/{project_id}/cutting")
cutting_together = Address("/cutting")  # of several projects: ?project=1&project=2
cutting_table = Address("/cutting/table.{ending}")  # the same as a file
cutting_paper = Address("/cutting/print")  # the same as a document: ?project=1&project=2, ?paper
cutting_stock = Address("/projects/{project_id}/cutting/stock")  # ?item=a wood of the project
book_cut = Address("/projects/{project_id}/cutting/book")  # takes the plan's wood from the stockroom

# at the machine
set_ups = Address("/projects/{project_id}/set-ups")
set_ups_together = Address("/set-ups")  # of several projects: ?project=1&project=2
set_ups_paper = Address("/set-ups/print")  # the same as a document: ?project=1&project=2, ?paper
shop_alone = Address("/projects/{project_id}/shop")
shop_together = Address("/shop")  # ?project=1&project=2
shop_ticks_alone = Address("/projects/{project_id}/shop/ticks")
shop_ticks_together = Address("/shop/ticks")
ticked_time = Address("/projects/{project_id}/time")

# issued revisions
all_revisions = Address("/revisions")
revisions = Address("/projects/{project_id}/revisions")
revision = Address("/projects/{project_id}/revisions/{number}")  # ?against=another revision
revision_document = Address("/projects/{project_id}/revisions/{number}/documents/{kind}/{paper}")
duplicate_revision = Address("/projects/{project_id}/revisions/{number}/duplicate")

# orders; what to buy is for ?project=1&project=2
orders = Address("/orders")  # ?before=the last order of the page before
new_order = Address("/orders/new")
order_request = Address("/orders/new/request.json")  # a file that `dovetally order` reads
order_plan_paper = Address("/orders/new/print")  # ?project=1&project=2, ?paper
order_plan_table = Address("/orders/new/table.{ending}")
order_instead = Address("/orders/new/instead")  # what the plan would come to in other ways
order = Address("/orders/{number}")
receive_order = Address("/orders/{number}/receive")
cancel_order = Address("/orders/{number}/cancel")
repeat_order = Address("/orders/{number}/repeat")
order_paper = Address("/orders/{number}/print")  # ?paper
order_table = Address("/orders/{number}/table.{ending}")

# catalogue
catalogue = Address("/catalogue")
new_section = Address("/catalogue/sections/new")
section_preview = Address("/catalogue/sections/preview")
section = Address("/catalogue/sections/{section_id}")
move_section = Address("/catalogue/sections/{section_id}/move")
delete_section = Address("/catalogue/sections/{section_id}/delete")
plugs = Address("/catalogue/plugs")
plug = Address("/catalogue/plugs/{plug_id}")
delete_plug = Address("/catalogue/plugs/{plug_id}/delete")

# stock; ``booking`` as "received"
stockroom = Address("/stockroom")  # ?show=one sort of item
stockroom_paper = Address("/stockroom/print")  # ?show, ?paper
stockroom_table = Address("/stockroom/table.{ending}")  # ?show
stock_from_catalogue = Address("/stockroom/from-catalogue")
new_wood = Address("/stockroom/wood")
stock_item = Address("/stockroom/items/{item_id}")  # ?before=the last entry of its ledger that is shown
book_item = Address("/stockroom/items/{item_id}/{booking}")
stock_count = Address("/stockroom/count")
count_item = Address("/stockroom/count/{item_id}")
project_stock = Address("/projects/{project_id}/stock")
go_ahead = Address("/projects/{project_id}/stock/go-ahead")
back_to_planned = Address("/projects/{project_id}/stock/planned")
book_project = Address("/projects/{project_id}/stock/{booking}")

# suppliers and offers
suppliers = Address("/suppliers")
new_supplier = Address("/suppliers/new")
supplier = Address("/suppliers/{supplier_id}")
new_offer = Address("/suppliers/{supplier_id}/offers")  # ?item=its name
offer = Address("/offers/{offer_id}")
price_offer = Address("/offers/{offer_id}/prices")
withdraw_offer = Address("/offers/{offer_id}/withdraw")
export_offers = Address("/offers.csv")
import_offers = Address("/import/offers")
confirm_offers = Address("/import/offers/confirm")

# trials; what is known is filled in by the form's own names
trials = Address("/trials")
new_trial = Address("/trials/new")
trial = Address("/trials/{number}")  # ?project=whose set-up sheet it came from
withdraw_trial = Address("/trials/{number}/withdraw")
start = Address("/trials/start")  # in such stock: section, cutter, species, thickness
starts = Address("/trials/starts")
end_start = Address("/trials/starts/{number}/end")
mouldings = Address("/trials/mouldings")
new_moulding = Address("/trials/mouldings/new")  # ?project=1&assembly=A
drop_moulding = Address("/trials/mouldings/{number}/delete")
scales = Address("/scales")  # the machine's scales; ?written=the calibration just written


def in_project(project_id: int, assembly_id: int) -> str:
    """An assembly's place on its project's page, whichever part of a large project that is."""
    return project(project_id, at=f"assembly-{assembly_id}", shown=assembly_id)


def shop(*project_ids: int) -> str:
    """At the machine, for a tablet at the machine."""
    return shop_alone(*project_ids) if len(project_ids) == 1 else shop_together(project=project_ids)


def shop_ticks(*project_ids: int) -> str:
    """What was ticked at the machine, as JSON; takes ticks that a device kept."""
    return shop_ticks_alone(*project_ids) if len(project_ids) == 1 else shop_ticks_together(project=project_ids)


def parts_from(base: str, project_id: int) -> str:
    """Where a part's label leads, but for the part's mark at the end; ``base`` is the server's own address."""
    return f"{base.rstrip('/')}{schedule(project_id)}?part="
