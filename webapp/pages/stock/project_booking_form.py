"""The form that books several items for a project: one quantity a line, empty ones left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from domain.ordering.items import Item
from webapp.site.incoming import SentForm
from webapp.store.stock_values import MOST
from webapp.usecases.project_stock import ProjectStock, StockLine
from webapp.wording.exact import parse_count

MOST_LINES = 2_000


class ProjectBooking(StrEnum):
    """What can be booked for a project; the value is the address's last word."""

    USED = "used"
    BUILT = "built"
    RETURNED = "returned"


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the form: an item with the quantity as typed; ``field`` is the quantity's name."""

    field: str
    line: StockLine
    text: str


@dataclass(frozen=True, slots=True)
class ProjectForm:
    """The form as it is shown."""

    booking: ProjectBooking
    rows: tuple[Row, ...]
    note: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)

    @property
    def labels(self) -> dict[str, str]:
        """What the fields are called, for the summary of errors."""
        return {**{row.field: row.line.item.name for row in self.rows}, "note": "Note"}

    def field_of(self, item: str) -> str:
        """The field of the item of that name; the first where it is not there."""
        return next((row.field for row in self.rows if row.line.item.name == item), "quantity.0")


def shown_form(booking: ProjectBooking, stock: ProjectStock) -> ProjectForm:
    """The form as it is first shown: what is reserved for a project that is built, else empty."""
    rows = (
        Row(f"quantity.{index}", line, str(line.claim.reserved) if booking is ProjectBooking.BUILT else "")
        for index, line in enumerate(_lines(booking, stock))
    )
    return ProjectForm(booking, tuple(rows))


def sent_project_form(booking: ProjectBooking, stock: ProjectStock, form: SentForm) -> ProjectForm:
    """The form as it was sent, over the lines that the project has now."""
    typed = {
        form.text(f"item.{index}"): form.text(f"quantity.{index}")
        for index in range(MOST_LINES)
        if form.text(f"item.{index}")
    }
    rows = (
        Row(f"quantity.{index}", line, typed.get(line.item.name, ""))
        for index, line in enumerate(_lines(booking, stock))
    )
    return ProjectForm(booking, tuple(rows), form.text("note"))


def read_quantities(form: ProjectForm) -> tuple[dict[Item, int], dict[str, str]]:
    """The quantities typed, and a sentence for each that is none."""
    quantities: dict[Item, int] = {}
    errors: dict[str, str] = {}
    for row in form.rows:
        if not row.text:
            continue
        try:
            quantity = parse_count(row.text)
        except ValueError as error:
            errors[row.field] = str(error)
            continue
        if quantity > MOST:
            errors[row.field] = f"must be at most {MOST}"
        elif quantity:
            quantities[row.line.item] = quantity
    return quantities, errors


def _lines(booking: ProjectBooking, stock: ProjectStock) -> Sequence[StockLine]:
    return [line for line in stock.lines if booking is not ProjectBooking.RETURNED or line.claim.used]
