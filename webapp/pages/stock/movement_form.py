"""Forms that book an item: received, used, counted, adjusted, and its minimum stock."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from functools import cache

from webapp.form.fields import Field, Plain, SimpleForm, Sort, form_of
from webapp.form.filled import THE_FORM, Filled, blank, sent
from webapp.site.incoming import SentForm

NO_PROJECT = ""
"""What the list of projects says for a use that is for none."""
_WHOLE = "needs a whole number; write one such as 12"
_CHANGE = "needs a whole number; write one such as 12 or -3"


class Booking(StrEnum):
    """What can be booked on an item's page; the value is the address's last word."""

    RECEIVED = "received"
    USED = "used"
    COUNTED = "counted"
    ADJUSTED = "adjusted"
    MINIMUM = "minimum"


def quantity_of(booking: Booking) -> str:
    """The name of the form's quantity."""
    return f"{booking}.quantity"


def note_of(booking: Booking) -> str:
    """The name of the form's note."""
    return f"{booking}.note"


def _form(booking: Booking, *fields: Field) -> SimpleForm:
    """A form whose refusals stand at its quantity unless they are about another field."""
    at = {name: f"{booking}.{name}" for name in ("note", "project")}
    return form_of(*fields, at={**at, "token": THE_FORM, "": quantity_of(booking)})


def _quantity(booking: Booking, unit: str, label: str, hint: str = "") -> Field:
    hints = " ".join(filter(None, (hint, _ALSO.get(unit, ""))))
    return Field(quantity_of(booking), label, Sort.COUNT, needed=_WHOLE, hint=hints or None, unit=unit)


def _note(booking: Booking, label: str = "Note", *, required: bool = False) -> Field:
    return Field(note_of(booking), label, Sort.TEXT, required=required, longest=500)


_ALSO = {
    "cm³": "Or with its unit, such as 0.125 m³ or 53 bd ft.",
    "mm": "Or with its unit, such as 12.5 m or 41 ft.",
}


@cache
def booking_form(booking: Booking, unit: str) -> SimpleForm:
    """The form that books an item counted in ``unit``."""
    match booking:
        case Booking.RECEIVED:
            fields: tuple[Field, ...] = (_quantity(booking, unit, "Received"), _note(booking))
        case Booking.USED:
            project = Field("used.project", "For", Sort.CHOICE)
            fields = (_quantity(booking, unit, "Used"), project, _note(booking))
        case Booking.COUNTED:
            fields = (_quantity(booking, unit, "Counted", "All that is there, reserved or not."), _note(booking))
        case Booking.ADJUSTED:
            change = _quantity(booking, unit, "Change", "With a minus where some are gone.")
            fields = (
                replace(change, sort=Sort.CHANGE, needed=_CHANGE),
                _note(booking, "Reason", required=True),
            )
        case Booking.MINIMUM:
            beyond = "Orders fill the shelf up to this, beyond what projects need."
            fields = (_quantity(booking, unit, "Keep at least", beyond),)
    return _form(booking, *fields)


def blank_booking(booking: Booking, unit: str, state: int | None = None, **texts: str) -> Filled:
    """The form of an item counted in ``unit`` as it is first shown; ``texts`` by the fields' last words.

    ``state`` is what it is made with: the newest movement for a count, the item's version for its minimum
    stock.
    """
    known = {f"{booking}.{name}": text for name, text in texts.items()}
    return replace(blank(booking_form(booking, unit), Plain(), **known), version=state)


def sent_booking(booking: Booking, form: SentForm, unit: str) -> Filled:
    """The form of an item counted in ``unit`` as it was sent."""
    return sent(booking_form(booking, unit), Plain(), form, edits=True)
