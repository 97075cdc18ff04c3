"""What must be said before there is a price: every code with its sentence."""

from __future__ import annotations

from domain.sayings import Code


class Missing(Code):
    """Why a quote has no total yet."""

    NOTHING = ("quote_of_nothing", "there is no assembly to quote for yet")
    CLASH = ("quote_clash", "the sizes of {mark_text} clash, so what it takes is not known; mend them first")
    RATE = ("quote_rate", "say what an hour of work is charged at")
    MARGIN = ("quote_margin", "say what is put on the cost, in percent; 0 for nothing")
    TAX = ("quote_tax", "name the tax and its rate in percent; where none is charged, 0 and a name that says so")
    NOT_TICKED = (
        "quote_not_ticked",
        "the minutes ticked are not known: {why_text}; take the planned ones, or type minutes by hand",
    )
    PRICE = (
        "quote_price",
        "no price is known of it; enter an offer, or type what all of it costs ({quantity_n} {unit_text})",
    )
    OTHER_QUANTITY = (
        "quote_other_quantity",
        "its price was typed for {before_n} {unit_text}, and it takes {quantity_n} by now; type it again",
    )
    NOT_TAKEN = ("quote_not_taken", "has a price typed by hand, and the project takes none of it; take it out")
