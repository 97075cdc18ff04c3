"""``dovetally quote`` and ``dovetally print … quote``, as a person or a script meets them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.factories import a_frame
from tests.terminal import dovetally
from tests.webapp.quote_samples import quoted
from tests.workshop import WORKSHOP
from webapp.usecases.exchange import project_document
from webapp.usecases.files import plan_document

FRAME = a_frame(width=415, height=318, material="ash")


def document(**fields: Any) -> dict[str, Any]:
    return {
        "format": "dovetally-project",
        "version": 1,
        "name": "Reading room",
        "currency": "EUR",
        "sections": json.loads((WORKSHOP / "shop.json").read_text(encoding="utf-8"))["sections"],
        "assemblies": [FRAME],
        **fields,
    }


def priced() -> dict[str, Any]:
    return project_document(quoted(*plan_document(document()))[0])


def run(tmp_path: Path, data: dict[str, Any], *arguments: str) -> tuple[int, str, str]:
    file = tmp_path / "project.json"
    file.write_text(json.dumps(data), encoding="utf-8")
    done = dovetally(arguments[0], str(file), *arguments[1:])
    return done.returncode, done.stdout.decode(), done.stderr.decode()


def test_a_file_with_all_that_it_needs_is_quoted(tmp_path: Path) -> None:
    status, out, errors = run(tmp_path, priced(), "quote")
    assert (status, errors) == (0, "")
    for words in ("Materials", "Setting up the machine", "Sanding and oiling", "Margin", "Sales tax", "Total"):
        assert words in out
    assert "Missing" not in out
    status, out, _ = run(tmp_path, priced(), "quote", "--json")
    told = json.loads(out)
    assert (status, told["format"], told["complete"], told["missing"]) == (0, "dovetally-quote", True, [])
    assert sum(line["amount"] for line in told["asked"]) == told["net"]
    assert told["total"] == told["net"] + told["tax"]["amount"]
    assert told["cost"] + told["margin"]["amount"] + sum(line["amount"] for line in told["lines"]) == told["net"]


def test_a_file_without_prices_says_what_it_lacks_and_ends_with_1(tmp_path: Path) -> None:
    status, out, errors = run(tmp_path, document(), "quote")
    assert (status, errors) == (1, "")
    for words in ("Missing: Rate of work: ", "Missing: Tax: ", "Missing: ash 45 × 20: no price is known of it"):
        assert words in out
    status, out, _ = run(tmp_path, document(), "quote", "--json")
    told = json.loads(out)
    assert (status, told["complete"], told["total"], told["asked"]) == (1, False, None, [])
    assert {each["path"] for each in told["missing"]} == {
        "quote.rate",
        "quote.margin",
        "quote.tax",
        "quote.prices",
    }


@pytest.mark.parametrize("kind", ["quote", "reckoning"])
def test_a_file_alone_is_printed(tmp_path: Path, kind: str) -> None:
    out = tmp_path / "out.pdf"
    assert run(tmp_path, priced(), "print", kind, "-o", str(out), "--paper", "Letter") == (0, "", "")
    page = PdfReader(out).pages[0]
    assert "Total" in page.extract_text()
    assert [round(float(side)) for side in page.mediabox[2:]] == [612, 792]


def test_what_cannot_be_priced_is_not_printed_and_ends_with_2(tmp_path: Path) -> None:
    out = tmp_path / "out.pdf"
    status, said, errors = run(tmp_path, document(), "print", "quote", "-o", str(out))
    assert (status, said, out.exists()) == (2, "", False)
    lines = errors.splitlines()
    assert "quote.rate: 'missing': say what an hour of work is charged at" in lines
    assert any(line.startswith("quote.prices: 'ash 45 × 20': no price is known of it") for line in lines)


def test_a_wrong_term_is_named_with_its_place(tmp_path: Path) -> None:
    status, _, errors = run(tmp_path, document(quote={"margin": -3, "rat": 4000}), "quote")
    assert status == 2
    assert "quote.margin: -3: must be 0 or more" in errors
    assert "quote.rat: 4000: is not a field here" in errors
