"""Offers from a CSV file: good lines are read, every bad place is named with its line."""

from __future__ import annotations

from datetime import date

import pytest

from domain.ordering.items import GLUE, Item
from domain.problems import BadInput
from webapp.tables.csv import harmless
from webapp.usecases.offer_file import MOST_LINES, OfferLine, read_offer_file

TODAY = date(2026, 3, 2)
HEAD = "item,supplier,pack size,price,currency,price since,article number,lead days,minimum stock\r\n"


def lines(text: str) -> tuple[OfferLine, ...]:
    file = read_offer_file(text.encode(), "EUR", TODAY)
    assert file.problems == ()
    return file.lines


def problems(text: str) -> list[tuple[str, object]]:
    file = read_offer_file(text.encode(), "EUR", TODAY)
    return [("/".join(str(step) for step in problem.path), problem.value) for problem in file.problems]


def test_a_whole_line() -> None:
    (line,) = lines(HEAD + 'key 14 x 16,"Alder, Bird & Co",100,12.90,EUR,2026-01-31,AB-1416,5,50\r\n')
    assert line == OfferLine(
        2, Item.key("14", 16), "Alder, Bird & Co", 100, 1290, "EUR", date(2026, 1, 31), "AB-1416", 5, 50
    )


def test_what_a_file_does_not_say() -> None:
    (line,) = lines("Price;Item;Pack size;Supplier\n12,90;glue;750;Fenwick\n\n")
    assert (line.item, line.price, line.currency, line.since) == (GLUE, 1290, "EUR", TODAY)
    assert (line.article, line.lead_days, line.minimum_stock) == ("", 0, None)


@pytest.mark.parametrize(
    ("name", "item"),
    [
        ("bar ash 45 x 24 x 2310", Item.bar("ash", 45, 24, 2310)),
        ("sheet birch plywood 18 × 2440 × 1220", Item.sheet("birch plywood", 18, 2440, 1220)),
        ("Board ash 27", Item.board("ash", 27)),
        ("strip sweet chestnut 30*15", Item.strip("sweet chestnut", 30, 15)),
    ],
)
def test_wood_is_offered_as_keys_are(name: str, item: Item) -> None:
    minimum = 4 if item.unit == "pcs" else 2_500_000
    (line,) = lines(HEAD + f"{name},Fenwick,10,48.60,EUR,,,3,{minimum}\n")
    assert (line.item, line.size, line.price, line.minimum_stock) == (item, 10, 4860, minimum)


def test_minor_units_are_those_of_the_line_s_currency() -> None:
    (line,) = lines("item\tsupplier\tpack size\tprice\tcurrency\nglue\tFenwick\t750\t1290\tjpy\n")
    assert (line.price, line.currency) == (1290, "JPY")


def test_every_bad_cell_is_named_and_the_good_lines_stay() -> None:
    text = (
        HEAD
        + "screw 4 × 40,,0,free,euro,31.1.26,,soon,-1\r\nkey 14 × 16,North,100,12.90,,,,,\r\nkey 14 × 22,North\r\n"
    )
    file = read_offer_file(text.encode(), "EUR", TODAY)
    assert [line.line for line in file.lines] == [3]
    assert problems(text) == [
        ("line 2/currency", "euro"),
        ("line 2/item", "screw 4 × 40"),
        ("line 2/supplier", "nothing"),
        ("line 2/pack size", "0"),
        ("line 2/price", "free"),
        ("line 2/price since", "31.1.26"),
        ("line 2/lead days", "soon"),
        ("line 2/minimum stock", "-1"),
        ("line 4/pack size", "nothing"),
        ("line 4/price", "nothing"),
    ]


def test_a_line_that_repeats_or_contradicts_an_earlier_one_is_named() -> None:
    text = (
        HEAD
        + "key 14 × 16,North,100,12.90,,,,,50\r\nkey 14 x 16,North,100,11.00,,,,,\r\nglue,North,750,9,,,,,\r\n"
        "key 14 × 16,North,250,30,,,,,60\r\n"
    )
    assert problems(text) == [
        ("line 3", "key 14 × 16, 100 from North"),
        ("line 5/minimum stock", 60),
    ]


def test_too_many_fields_and_control_characters_are_bad_lines() -> None:
    assert problems("item,supplier,pack size,price\nglue,North,1,2,3\nglue,No\x07rth,1,2\n") == [
        ("line 2", "5 fields"),
        ("line 3/supplier", "No\x07rth"),
    ]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("", "nothing"),
        ("item,supplier,price\n", "missing"),
        ("item,supplier,pack size,price,colour\n", "colour"),
        ("item,item,supplier,pack size,price\n", "item"),
        ('item,supplier,pack size,price\n"glue,North,1,2\n', "quotes"),
        ("item,supplier,pack size,price\n" + "glue,North,1,2\n" * (MOST_LINES + 1), "lines"),
    ],
)
def test_what_is_no_such_file_is_refused_whole(text: str, value: str) -> None:
    with pytest.raises(BadInput) as refusal:
        read_offer_file(text.encode(), "EUR", TODAY)
    assert value in [problem.value for problem in refusal.value.problems]


def test_bytes_that_are_no_text_are_refused() -> None:
    with pytest.raises(BadInput, match="UTF-8"):
        read_offer_file(b"item\xff", "EUR", TODAY)


@pytest.mark.parametrize("name", ["=1+1 Ltd", "-Nord", "@home", "North; =2", "Plain", "O'Brien"])
def test_an_apostrophe_that_an_export_put_in_is_taken_out(name: str) -> None:
    (line,) = lines(HEAD + f'glue,"{harmless(name)}",750,9,,,"{harmless(name)}",,\r\n')
    assert (line.supplier, line.article) == (name, name)
