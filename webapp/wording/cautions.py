"""The usual cautions of router work, in one place: the page, the set-up sheet and paper show the same words.

What cites no source is common practice in the trade, without a published one. The sources are cited for
orientation; their current text counts.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """A published rule: its number in the list, the name of its place on a page, what it is and says."""

    number: int
    name: str
    rule: str
    says: str


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: what is said loud, the rest of it, and the rule that it rests on, if any."""

    loud: str
    rest: str
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Cautions that belong together."""

    title: str
    cautions: tuple[Caution, ...]


MACHINES = Source(
    1,
    "machines",
    "29 CFR 1910.213 and 1910.147 (US); EN ISO 19085-1",
    "Woodworking machinery: guards, a disconnect that can be locked, control of hazardous energy; common"
    " safety requirements of woodworking machines",
)
EYES = Source(
    2,
    "eyes",
    "29 CFR 1910.133 (US) with ANSI/ISEA Z87.1; ISO 16321-1",
    "Eye or face protection against flying particles, and what it must withstand",
)
NOISE = Source(
    3,
    "noise",
    "29 CFR 1910.95 (US); Directive 2003/10/EC (EU)",
    "US: a hearing programme from 85 dBA over 8 hours; permissible 90 dBA for 8 hours, 95 for 4, 100 for"
    " 2. EU: action from 80 and 85 dB(A), limit 87 dB(A) with protection counted",
)
DUST = Source(
    4,
    "dust",
    "29 CFR 1910.242(b) (US); Directive 2004/37/EC as amended (EU)",
    "Compressed air for cleaning only below 30 psi, with chip guarding and protective equipment;"
    " hardwood dust 2 mg/m³ over 8 hours",
)
SOURCES = (MACHINES, EYES, NOISE, DUST)

DISCONNECT = Caution(
    "Disconnect before changing cutters.",
    " Pull the plug, and the air line where there is one, before a hand goes near the collet. A switch is not a"
    " disconnection.",
    MACHINES,
)
NOTHING_LOOSE = Caution(
    "Nothing loose:",
    " sleeves, cords, rings and hair tied back or off. No gloves at a turning cutter.",
)

CAUTIONS = (
    Group(
        "Before the cutter turns",
        (
            DISCONNECT,
            Caution(
                "Look at the cutter.",
                " Sharp, undamaged, shank clean, held as deep in the collet as the manual asks, and"
                " within its marked speed.",
            ),
            Caution(
                "Set stops, fence and clamps as the machine's manual says",
                ", and tighten them. Then run the travel once by hand with the motor off.",
            ),
            Caution(
                "Guards on.",
                " If a cut needs a guard off, find another way to make the cut.",
                MACHINES,
            ),
        ),
    ),
    Group(
        "On you",
        (
            Caution(
                "Eyes:",
                " protection made for flying chips, for everyone in the room.",
                EYES,
            ),
            Caution(
                "Ears:",
                " routers are loud. Rules ask for action from 80 or 85 dB(A) over a working day; at 100"
                " dB(A) the US table allows two hours.",
                NOISE,
            ),
            Caution(
                "Lungs:",
                " extraction at the cutter first, a mask besides. The EU limit for hardwood dust is 2"
                " mg/m³ over eight hours.",
                DUST,
            ),
            NOTHING_LOOSE,
        ),
    ),
    Group(
        "The piece",
        (
            Caution(
                "Test pieces first",
                ", from the same stock, for every cutter, projection and wood: one left, one right, one key"
                " driven. The projection shown here is a start for them, never the last word. Other set-ups are"
                " checked on an offcut.",
            ),
            Caution(
                "Small pieces are not held by hand.",
                " The least size is the one the machine's manual gives; below it, rout a longer piece"
                " and cut it afterwards, or use a holder made for it.",
            ),
            Caution(
                "Over-tight keys burst corners.",
                " If a key needs more than a mallet's weight, stop: less projection, another test piece.",
            ),
            Caution(
                "Knots, end checks, metal:",
                " keep slots clear of them.",
            ),
        ),
    ),
    Group(
        "Clamps, air and chips",
        (
            Caution(
                "Clamp height and air pressure",
                " as the machine's manual says; fingers away before the clamp closes.",
            ),
            Caution(
                "Clear chips with a brush or a hose,",
                " motor off. Where a rule lets compressed air be used for cleaning, it limits it: in the"
                " US below 30 psi, about 2 bar, with eye protection and chip guarding.",
                DUST,
            ),
            Caution(
                "Let the cutter stop",
                " before you lift, reach or turn away.",
            ),
        ),
    ),
)

PLAN_TITLE = "A plan, not an instruction"
PLAN = (
    "The figures in this program say where a slot fits the wood. They cannot see your machine, your cutter or the"
    " piece in your hand. The machine's manual, the rules where you work and licensed practice come first; where"
    " they differ from anything here, follow them."
)
ABOUT_SOURCES = (
    "What has no number is common practice in the trade, without a published source. The numbered rules are cited"
    " for orientation; they change, and others may bind you. Read their current text."
)
