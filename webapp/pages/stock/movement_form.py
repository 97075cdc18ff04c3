"""Forms that book an item: received, used, counted, adjusted, and its minimum stock."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

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


def _quantity(booking: Booking, label: str, hint: str | None = None) -> Field:
    return Field(quantity_of(booking), label, Sort.COUNT, needed=_WHOLE, hint=hint)


def _note(booking: Booking, label: str = "Note", *, required: bool = False) -> Field:
    return Field(note_of(booking), label, Sort.TEXT, required=required, longest=500)


FORMS = {
    Booking.RECEIVED: _form(Booking.RECEIVED, _quantity(Booking.RECEIVED, "Received"), _note(Booking.RECEIVED)),
    Booking.USED: _form(
        Booking.USED,
        _quantity(Booking.USED, "Used"),
        Field("used.project", "For", Sort.CHOICE),
        _note(Booking.USED),
    ),
    Booking.COUNTED: _form(
        Booking.COUNTED,
        _quantity(Booking.COUNTED, "Counted", "All that is there, reserved or not."),
        _note(Booking.COUNTED),
    ),
    Booking.ADJUSTED: _form(
        Booking.ADJUSTED,
        Field(
            quantity_of(Booking.ADJUSTED),
            "Change",
            Sort.CHANGE,
            needed=_CHANGE,
            hint="With a minus where some are gone.",
        ),
        _note(Booking.ADJUSTED, "Reason", required=True),
    ),
    Booking.MINIMUM: _form(
        Booking.MINIMUM,
        _quantity(
            Booking.MINIMUM, "Keep at least", "Orders fill the shelf up to this, beyond what projects need."
        ),
    ),
}


def blank_booking(booking: Booking, state: int | None = None, **texts: str) -> Filled:
    """The form as it is first shown; ``texts`` by the fields' last words.

    ``state`` is what it is made with: the newest movement for a count, the item's version for its minimum
    stock.
    """
    known = {f"{booking}.{name}": text for name, text in texts.items()}
    return replace(blank(FORMS[booking], Plain(), **known), version=state)


def sent_booking(booking: Booking, form: SentForm) -> Filled:
    """The form as it was sent."""
    return sent(FORMS[booking], Plain(), form, edits=True)
