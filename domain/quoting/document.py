"""A quote as open JSON: what it takes, what it comes to, and what the customer is shown."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from domain.quoting.asked import AskedLine, asked_lines
from domain.quoting.materials import Material, told
from domain.quoting.reckoning import Own, Reckoning, Work

FORMAT = "dovetally-quote"
Json = dict[str, Any]


def quote_document(reckoning: Reckoning, project: str, customer: str | None) -> Json:
    """The quote; amounts are whole minor units, None where something is missing."""
    terms, minutes = reckoning.terms, reckoning.basis.minutes
    return {
        "format": FORMAT,
        "version": 1,
        "project": project,
        **({} if customer is None else {"customer": customer}),
        "currency": reckoning.currency,
        "complete": reckoning.total is not None,
        "missing": [
            {"path": ".".join(map(str, problem.path)), "what": str(problem.value), "says": problem.text()}
            for problem in reckoning.missing
        ],
        "joints_not_made": reckoning.basis.not_made,
        "materials": [_material(each) for each in reckoning.materials],
        "minutes": {
            "charged_as": terms.minutes.value,
            "setting_up": _number(minutes.setting_up),
            "milling": _number(minutes.milling),
            "driving": _number(minutes.driving),
            "ticked_at_the_machine": None if minutes.ticked is None else _number(minutes.ticked),
        },
        "rate": terms.rate,
        "work": [
            {"name": str(each.name), "minutes": _number(each.minutes), "cost": each.cost}
            for each in reckoning.work
        ],
        "cost": reckoning.cost,
        "margin": {
            "percent": None if terms.margin is None else _number(terms.margin),
            "amount": reckoning.margin,
        },
        "lines": [_own(each) for each in reckoning.own],
        "discount": {"percent": _number(terms.discount), "amount": reckoning.discount},
        "net": reckoning.net,
        "tax": None
        if terms.tax is None
        else {"name": terms.tax.name, "percent": terms.tax.rate, "amount": reckoning.tax},
        "total": reckoning.total,
        "valid_days": terms.valid_days,
        "depth": terms.depth.value,
        "asked": [] if reckoning.total is None else [_asked(each) for each in asked_lines(reckoning)],
    }


def _material(material: Material) -> Json:
    return {
        "sort": material.sort.value,
        "item": material.name,
        "quantity": _number(told(material.quantity)),
        "unit": material.unit,
        "cost": material.cost,
        "priced_by": None if material.priced_by is None else material.priced_by.value,
    }


def _own(own: Own) -> Json:
    return {"text": own.line.text, "count": own.line.count, "price": own.line.price, "amount": own.amount}


def _asked(line: AskedLine) -> Json:
    match line.of:
        case Material(name=name):
            what = name
        case Work(name=name):
            what = str(name)
        case Own(line=own):
            what = own.text
        case None:
            what = "the whole"
    return {"what": what, "amount": line.amount}


def _number(value: Fraction) -> int | float:
    return int(value) if value.denominator == 1 else float(value)
