"""Forms that book an item: received, used, counted, adjusted, and its minimum stock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from domain.problems import BadInput
from webapp.form.values import new_token, sent_version
from webapp.site.incoming import SentForm

NO_PROJECT = ""
"""What the list of projects says for a use that is for none."""


class Booking(StrEnum):
    """What can be booked on an item's page; the value is the address's last word."""

    RECEIVED = "received"
    USED = "used"
    COUNTED = "counted"
    ADJUSTED = "adjusted"
    MINIMUM = "minimum"


LABELS = {
    "received.quantity": "Received",
    "received.note": "Note",
    "used.quantity": "Used",
    "used.project": "For",
    "used.note": "Note",
    "counted.quantity": "Counted",
    "counted.note": "Note",
    "adjusted.quantity": "Change",
    "adjusted.note": "Reason",
    "minimum.quantity": "Keep at least",
}


@dataclass(frozen=True, slots=True)
class BookingForm:
    """A form as it is shown, its texts and errors by field (``received.quantity`` and so on).

    ``state`` is what it was made with: the newest movement for a count, the item's version for its
    minimum stock.
    """

    booking: Booking
    texts: Mapping[str, str]
    state: int = 0
    token: str = field(default_factory=new_token)
    errors: Mapping[str, str] = field(default_factory=dict)


def blank_form(booking: Booking, state: int = 0, **texts: str) -> BookingForm:
    """The form as it is first shown; ``texts`` by the fields' last words."""
    filled = {name: texts.get(name.partition(".")[2], "") for name in LABELS if name.startswith(f"{booking}.")}
    return BookingForm(booking, filled, state)


def sent_booking(booking: Booking, form: SentForm) -> BookingForm:
    """The form as it was sent, with its own token."""
    texts = {name: form.text(name) for name in LABELS if name.startswith(f"{booking}.")}
    return BookingForm(booking, texts, sent_version(form.text("version")), form.text("token"))


def errors_at(booking: Booking, refusal: BadInput) -> dict[str, str]:
    """The refusal's sentences at the form's fields; what is about no other field stands at the quantity."""
    found: dict[str, str] = {}
    for problem in refusal.problems:
        name = next((name for name in ("note", "project") if name in problem.path), "quantity")
        found.setdefault(f"{booking}.{name}", problem.text())
    return found
