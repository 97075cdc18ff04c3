"""The words of the trade that this program uses, each explained once, for the glossary and where it stands."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.wording.facts import Fact


@dataclass(frozen=True, slots=True)
class Term:
    """A word, its place on the glossary page, and what it means in a sentence or two.

    ``labels`` are what it is called where it stands beside a figure; ``drawn`` tells that the drawings mark it.
    """

    key: str
    name: str
    says: str
    labels: tuple[str, ...] = ()
    drawn: bool = False


TERMS = (
    Term(
        "key",
        "key",
        "A moulded double dovetail that is driven into slots in both mating faces and pulls the joint together.",
        (Fact.KEYS,),
        True,
    ),
    Term("slot", "slot", "The dovetail groove that is milled into a mating face for a key.", (Fact.SLOTS,), True),
    Term(
        "section",
        "section",
        "A size of key, called by its width. Keys of one section are had in several lengths.",
        (Fact.SECTION,),
    ),
    Term(
        "run",
        "run",
        "How long a mating face is the way that keys are driven: the stock's thickness in a frame.",
        drawn=True,
    ),
    Term(
        "breadth",
        "breadth",
        "How long a mating face is along the joint line, across the slots.",
        (Fact.FACE,),
        True,
    ),
    Term(
        "fill",
        "keys fill",
        "How much of the run the keys of a slot take up, end to end: 16 mm of 20 mm are 80 %.",
        (Fact.HOLD,),
    ),
    Term(
        "reach",
        "reach",
        "How far the farthest place of the joint is from the middle of a slot. Farther than a section's reach"
        " limit the joint could open there.",
        (Fact.REACH, "Reach limit"),
        True,
    ),
    Term(
        "recess",
        "recess",
        "How far a driven key stops below the edge that it is driven in from: room for a plug, or for trimming.",
        (Fact.RECESS,),
        True,
    ),
    Term(
        "skin",
        "skin",
        "The wood that is left beyond a slot's end. Too thin, it shows or breaks out.",
        ("Skin",),
        True,
    ),
    Term(
        "edge-wood",
        "edge wood",
        "The wood that is left beside a slot, to the nearest edge.",
        ("Edge wood",),
        True,
    ),
    Term("web", "web", "The wood that is left between two slots.", ("Web",), True),
    Term(
        "centre",
        "slot centre",
        "Where the middle of a slot lies along the joint line, from the mitre tip or the reference edge.",
        (Fact.CENTRES, Fact.ORIGIN),
        True,
    ),
    Term(
        "stop",
        "depth stop",
        "The machine's stop that ends a slot; the figure is what its scale reads.",
        (Fact.STOP,),
        True,
    ),
    Term("depth", "depth", "How far a slot runs in from its edge, to the end of its round.", (Fact.DEPTH,), True),
    Term(
        "waist", "waist", "How wide a key is at its narrowest, in the middle, where the two pieces meet.", (), True
    ),
    Term(
        "flank",
        "flank",
        "The slanting side of a key and of its slot; its angle is counted from the upright.",
        (),
        True,
    ),
    Term(
        "cutter-tip",
        "cutter tip",
        "A cutter's widest place, at its end, and so the width of a slot's bottom.",
        (Fact.TIP, Fact.CUTTER),
        True,
    ),
    Term("mitre-tip", "mitre tip", "The long point of a mitred piece, from which its slots are counted."),
    Term(
        "projection",
        "projection",
        "How far the cutter stands out of the machine's face: so deep the slot goes into the wood. A little more"
        " pulls the joint tighter.",
        (Fact.PROJECTION,),
        True,
    ),
    Term(
        "snug",
        "snug projection",
        "The projection at which a key just touches both flanks, with nothing to spare and no squeeze.",
        (Fact.SNUG,),
    ),
    Term(
        "half-depth",
        "half depth",
        "Half of what a key measures from one wide face to the other: what goes into each piece.",
        ("Half depth",),
        True,
    ),
    Term(
        "close-fit",
        "close-fit, free-fit",
        "A section's two cutters. The close-fit one holds a key firmly; where keys must be driven deeper than they"
        " would go in there, the free-fit one leaves them a little air.",
    ),
    Term(
        "drive-limit",
        "drive limit",
        "How deep keys of a section are driven in a close-fit slot before they jam.",
        ("Drive limit",),
    ),
    Term(
        "test-start",
        "start of test pieces",
        "The projection that the first test piece is milled at: the snug one and a little more, as the shop's rule"
        " has it.",
        ("Test pieces start deeper by", "Test pieces start at"),
    ),
    Term(
        "entry",
        "driven in from",
        "The edge that keys are driven in from. A panel that goes in later may cover it.",
        (Fact.EDGES,),
    ),
    Term(
        "side-by-side",
        "keys side by side",
        "How many slots with their keys a joint has along its line.",
    ),
    Term("end", "leading end", "The end of a key that goes in first: round, or square.", (Fact.END,)),
    Term(
        "plug",
        "plug",
        "A piece of wood of the key's own shape, driven in over it to cover its end, and trimmed flush.",
    ),
    Term(
        "reference-edge",
        "reference edge",
        "The edge of a piece that is held to the fence, and from which its slots are counted.",
    ),
    Term(
        "fence",
        "fence reading",
        "What the fence's scale is set to, from the middle of the cutter.",
        ("Fence reading", "Fence"),
    ),
    Term("clamp", "clamp height", "How high the clamp stands over the table for a piece.", ("Clamp height",)),
    Term(
        "set-up",
        "set-up",
        "One combination of cutter, projection, fence, fence reading, depth stop and clamp height.",
    ),
    Term(
        "hand", "hand", "On which side of the cutter a piece's mitre tip, reference edge or end lies in one pass."
    ),
)
"""In the order of the glossary: from the joint to the machine."""
_BY_LABEL = {label.casefold(): term for term in TERMS for label in (term.name, *term.labels)}


def term_for(label: str) -> Term | None:
    """The term that a label is; None where it explains itself.

    >>> term_for("Reach").key, term_for("Glue")
    ('reach', None)
    """
    return _BY_LABEL.get(label.casefold())
