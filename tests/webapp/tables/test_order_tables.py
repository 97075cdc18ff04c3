"""An order as a table: its sums, and words that spreadsheets have been tricked with."""

from __future__ import annotations

import pytest

from domain.ordering.items import Item
from tests.orders import an_order, line
from tests.webapp.tables.exports_samples import ATTACKS, read_csv, read_xlsx
from webapp.tables.buying_tables import order_table
from webapp.tables.csv import write_csv
from webapp.tables.xlsx import write_xlsx


@pytest.mark.parametrize(
    ("currency", "sums"), [("JPY", [2580, 550, 1280, 690]), ("KWD", [2.58, 0.55, 1.28, 0.69])]
)
def test_money_is_numbers_of_its_currency(currency: str, sums: list[float]) -> None:
    table = order_table(an_order(currency=currency))
    assert [row[8] for row in table.rows] == sums
    assert table.columns[8].title == f"Sum ({currency})"


def test_sums_of_the_table_add_up_to_the_total() -> None:
    order = an_order()
    rows = order_table(order).rows
    assert round(sum(float(str(row[8])) for row in rows) * 100) == order.total
    assert rows[0][:10] == (1, "NF-1416/100", "key 14 × 16", 2, 100, 200, "pcs", 12.9, 25.8, "2026-03-09")


def test_no_cell_becomes_a_formula() -> None:
    words = [attack for attack in ATTACKS if len(attack) < 1_000]
    lines = [line(n, Item.plug(word, word, 3), 10, 1, 5, word) for n, word in enumerate(words, 1)]
    table = order_table(an_order(*lines, supplier=words[0]))
    for row in read_csv(write_csv(table))[1:]:
        for cell in (row[1], row[2], row[12]):
            assert not cell.lstrip().startswith(("=", "+", "-", "@", "＝", "＋"))
    rows = read_xlsx(write_xlsx(table))[1:]
    assert len(rows) == len(words) + 1
    assert all(row[12] == words[0] for row in rows)
