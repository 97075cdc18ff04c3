"""Money: whole minor units and a currency's code."""

from __future__ import annotations

# ISO 4217, list one: minor units other than two; read as shared/published/minor-units.md says
_OTHER_THAN_TWO = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
_PLACES = {code: places for places, codes in _OTHER_THAN_TWO.items() for code in codes.split()}


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
