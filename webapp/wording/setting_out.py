"""The setting-out sheet in words: what views and their edges are called, and what stands beside each drawing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from domain.lengths import Mm, Units
from domain.machine.hands import Place, spacer_under
from domain.parts import Side
from domain.planning.plans import JointPlan
from domain.setting_out.sheets import SetOut
from domain.setting_out.views import Channel, Fastened, PartLine, SlotPlace, View
from domain.spec.choices import Entry
from domain.takeoff.pieces import Joined
from webapp.wording.figures import as_set, listed, size
from webapp.wording.joint import fastenings
from webapp.wording.parts import SQUARE, part_words
from webapp.wording.pieces import SURFACES, at_fence, edge_down, pieces_text, place_on_piece, slotted

ABOUT = (
    "Every end, edge and face of a piece on which something happens, seen square on from outside the wood. Thick"
    " lines are marked on the stock: each is measured from the end that is named, never from another line, and the"
    " cross stands on the side of it where the part comes; the part's other edge is dashed. Slots are drawn as"
    " they open in the face, their wider bottom dashed; a thick line across a part is the middle of a loose tenon"
    " or screw. The face or edge in which slots are drawn lies to the machine; the set-up sheet says which edge or"
    " line is at the fence, and with which hand."
)
"""How the sheet is read, said once on it."""
HEADINGS = ("Joint", "Part", "Where it comes", "Slots", "At the machine")
"""What stands over the columns beside a drawing."""


@dataclass(frozen=True, slots=True)
class SetOutRow:
    """A joint in a view: which part comes where, its slots, and how the piece lies at the machine."""

    joint: str
    part: str
    where: str
    slots: str
    lies: str


@dataclass(frozen=True, slots=True)
class ViewWords:
    """A view: its name, its joints; what holds their bare middles, and grooves and rabbets, as sentences."""

    name: str
    rows: tuple[SetOutRow, ...]
    fastened: tuple[str, ...]
    channels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SetOutWords:
    """An entry of the sheet: ``pieces`` by their names, and what they are called.

    ``said`` is where they stand and which other one they mirror, ``shape`` the piece's size and ends; ``key`` is
    the entry's place on a page.
    """

    key: str
    mark: str
    name: str
    pieces: str
    said: str
    shape: str
    views: tuple[ViewWords, ...]


def set_out_words(entry: SetOut, joints: Iterable[JointPlan], units: Units) -> SetOutWords:
    """An entry in words; ``joints`` are its assembly's."""
    plans = {joint.joint.mark: joint for joint in joints}
    member = entry.member
    part = part_words(member, units)
    ends = "" if part.ends in {"", SQUARE} else f", ends\xa0{part.ends}"
    return SetOutWords(
        key=entry.key,
        mark=member.mark,
        name=member.name,
        pieces=pieces_text(entry.pieces),
        said=_said(entry),
        shape=f"{part.size}{ends}",
        views=tuple(_view(view, plans, units) for view in entry.views),
    )


def _said(entry: SetOut) -> str:
    stands = "" if entry.stands is None else f"{entry.stands} {entry.member.name}"
    mirrors = "" if entry.mirrors is None else f"mirror image of {entry.mirrors}"
    return ", ".join(each for each in (stands, mirrors) if each)


def view_name(view: View) -> str:
    """What a view shows: "inside face", "upper edge", "left end"."""
    if view.place.is_end:
        return f"{view.surface} end{', mitred' if view.place is Place.MITRED_END else ''}"
    if any(one.spot.whole for one in view.joints):
        return f"{view.surface} side"
    return f"{SURFACES[view.surface]} {'face' if view.place is Place.FACE else 'edge'}"


def edge_name(view: View, side: Side) -> str:
    """What a view's edge on that side is called: "bottom end", "front edge", "outside face"."""
    if view.datum is None:
        if view.level(side):
            return f"{side} end"
        return f"{SURFACES[side]} {'edge' if view.place is Place.FACE else 'face'}"
    first = view.joints[0]
    board = first.joint.kind.on_edge
    along = view.level(side) is view.level(view.datum)
    called = SURFACES[side]
    if along and first.spot.start in {None, Side.OUTSIDE}:
        # a mitre's tip, and the outside of a box, are what the joint counts from
        called = (Side.OUTSIDE if side is view.datum else Side.INSIDE).value
    return f"{called} {'face' if along is board else 'edge'}"


def _view(view: View, plans: Mapping[str, JointPlan], units: Units) -> ViewWords:
    return ViewWords(
        name=view_name(view),
        rows=tuple(_rows(view, plans, units)),
        fastened=tuple(fastened_text(view, row, units) for row in view.fastened),
        channels=tuple(channel_text(view, channel, units) for channel in view.channels),
    )


def _rows(view: View, plans: Mapping[str, JointPlan], units: Units) -> Iterator[SetOutRow]:
    for one in view.joints:
        plan = plans[one.joint.mark]
        slots = [slot for slot in view.slots if slot.joint == one.joint.mark]
        yield SetOutRow(
            joint=one.joint.mark,
            part=one.partner.mark,
            where=where_text(one, view, units),
            slots="cannot be made as it stands" if plan.plan is None else slots_text(slots, units),
            lies="" if plan.plan is None else _lies(one, plan, units),
        )


def where_text(one: Joined, view: View, units: Units) -> str:
    """Where a joint's part comes: at an end by the end, else between its two edges, counted from one end."""
    line = next((line for line in view.lines if _is(line, one)), None)
    if line is None:
        return place_on_piece(one, units)
    start = f"{line.start} {'edge' if one.spot.across else 'end'}"
    far = Mm(line.offset + line.breadth)
    return f"{as_set(line.offset, units).bare} to {as_set(far, units)} from the {start}"


def _is(line: PartLine, one: Joined) -> bool:
    return (line.joint, line.start, line.offset) == (one.joint.mark, one.spot.start, one.spot.offset)


def slots_text(slots: Iterable[SlotPlace], units: Units) -> str:
    """A joint's slots: centres from what is at the fence, width at the face, depths by their entries."""
    found = list(slots)
    if not found:
        return ""
    centres = listed(as_set(Mm(each), units) for each in dict.fromkeys(slot.reading for slot in found))
    # from the piece's own edge, as the drawing and the stop have it
    depths = {slot.entry: Mm(slot.foot + slot.depth) for slot in found}
    deep = ", ".join(f"{as_set(depth, units)} from the {entry}" for entry, depth in depths.items())
    return f"centre {centres}, {as_set(found[0].mouth, units)} wide, deep {deep}"


def _lies(one: Joined, plan: JointPlan, units: Units) -> str:
    """How the piece comes to the machine: what lies to it, from where its slots count, and its edge down."""
    down = ", then ".join(
        f"{edge_down(entry, spacer, units)} down" for entry, spacer in _spacers(one, plan).items()
    )
    return f"{slotted(one)}, {down}; counted from: {at_fence(one, units)}"


def _spacers(one: Joined, plan: JointPlan) -> dict[Entry, Mm]:
    """The edges that the piece stands on, pass by pass, and how thick a spacer lies under each."""
    if plan.plan is None:
        return {}
    face, served = plan.joint.face, plan.plan.served
    return {slot.entry: spacer_under(face, served(slot.entry), one.index, slot.entry) for slot in plan.slots}


def fastened_text(view: View, row: Fastened, units: Units) -> str:
    """What holds the bare middle of a joint: how far each stands from which edge, and in the middle of what."""
    places = listed(as_set(place, units) for place in row.places)
    line = next((line for line in view.lines if _holds(line, row)), None)
    if line is None:
        start, part = view.datum or view.left, "the end"
    else:
        start, part = line.start, line.part
    off = as_set(Mm(abs(row.centre - view.at(start, 0.0))), units)
    return (
        f"{row.joint}, between the keys: {fastenings(row.sort, len(row.places))}, {places} from the"
        f" {edge_name(view, row.start)}, in the middle of {part}, {off} from the {edge_name(view, start)}."
    )


def _holds(line: PartLine, row: Fastened) -> bool:
    return line.joint == row.joint and (min(line.near, line.far), max(line.near, line.far)) == row.span


def channel_text(view: View, channel: Channel, units: Units) -> str:
    """A groove or rabbet: where it runs, how wide and deep, and where it stops."""
    edge = edge_name(view, channel.side)
    off = "along" if not channel.low else f"{size(channel.low, units)} from"
    sizes = f"{size(channel.width, units)} wide, {size(channel.depth, units)} deep, {off} the {edge}"
    runs = "; ".join(_stretch(view, channel, stretch, units) for stretch in channel.stretches)
    return f"{channel.kind.value.capitalize()} {sizes}: {runs}."


def _stretch(view: View, channel: Channel, stretch: tuple[Mm, Mm], units: Units) -> str:
    start, end = stretch
    through = stops_at(view, start), stops_at(view, end)
    if not any(through):
        return "runs out at both ends"
    origin = edge_name(view, view.left)
    if all(through):
        where = f"from {size(start, units).bare} to {size(end, units)} from the {origin}"
        return f"{where}, which is {size(channel.depth, units)} past the parts that meet it there, no farther"
    stop, out = (start, view.right) if through[0] else (end, view.left)
    past = f"{size(channel.depth, units)} past the part that meets it there"
    return f"stops {size(stop, units)} from the {origin}, {past}, runs out at the {edge_name(view, out)}"


def stops_at(view: View, place: Mm) -> bool:
    """True where a groove that ends there stops in the wood."""
    return view.inset[0] + 1e-6 < place < view.width - view.inset[1] - 1e-6
