"""Money: whole minor units and a currency's code."""

from __future__ import annotations

# ISO 4217 minor units other than two (from memory of the standard's list of active codes)
_PLACES = {
    **dict.fromkeys(
        ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV", "XAF"), 0
    ),
    **dict.fromkeys(("XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}


def minor_places(currency: str) -> int:
    """Decimals that a currency is written with: 2 for most."""
    return _PLACES.get(currency, 2)


def format_money(minor: int, currency: str) -> str:
    """An amount in whole minor units, with the currency's code.

    >>> format_money(1290, "EUR"), format_money(-5, "USD"), format_money(1290, "JPY")
    ('12.90 EUR', '-0.05 USD', '1290 JPY')
    """
    places = minor_places(currency)
    whole, rest = divmod(abs(minor), 10**places)
    sign = "-" if minor < 0 else ""
    decimals = f".{rest:0{places}d}" if places else ""
    return f"{sign}{whole}{decimals} {currency}"
