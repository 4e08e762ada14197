"""Hours and money with which a first price can be worked out: common practice with no source, and rough rates from memory."""

from __future__ import annotations

from typing import Any

from voltwright.build.begun.writing import Assumed, about
from voltwright.quantity.units import WITHOUT_CENTS

# What one euro is worth, roughly and from memory; each stands as an assumption with its spread.
OF_ONE_EURO = {
    "AUD": 1.7, "BGN": 1.96, "BRL": 6.0, "CAD": 1.55, "CHF": 0.95, "CNY": 7.9, "CZK": 25.0, "DKK": 7.46, "GBP": 0.86, "HKD": 8.6,
    "HUF": 400.0, "ILS": 4.0, "INR": 95.0, "ISK": 147.0, "JPY": 165.0, "KRW": 1550.0, "MXN": 21.0, "NOK": 11.6, "NZD": 1.9,
    "PLN": 4.3, "RON": 5.0, "SEK": 11.2, "SGD": 1.48, "THB": 38.0, "TRY": 42.0, "UAH": 46.0, "USD": 1.12, "ZAR": 20.5,
}  # fmt: skip
EXCHANGE = "rough and from memory, as parts are priced in EUR; look up the rate of the day"
LABOUR = 60.0  # EUR an hour
# Usual rate of the tax on a workshop's bill, in percent, from memory.
TAX = {"AU": 10.0, "CH": 8.1, "DE": 19.0, "FR": 20.0, "GB": 20.0, "IE": 23.0, "NZ": 15.0, "US": 0.0}
HOURS = (
    ("strip and survey", 24, 8),
    ("boxes and mounts", 100, 30),
    ("drive and adaptor", 60, 20),
    ("traction wiring", 70, 20),
    ("12 V and controls", 55, 20),
    ("commissioning and papers", 32, 10),
)


def costing_of(currency: str, country: str) -> dict[str, Any]:
    """The section `costing` in a currency."""
    worth = OF_ONE_EURO.get(currency, 1.0)
    rate, places = LABOUR * worth, 0 if currency in WITHOUT_CENTS else 2
    hour = f"{rate:.{places}f} {currency}/h ± {0.2 * rate:.{places}f} {currency}/h"
    tax = TAX.get(country)
    return {
        "labour_rate": Assumed(hour, f"about {LABOUR:.0f} EUR for an hour of such a workshop; put your own here"),
        "tax": None if tax is None else Assumed(f"{tax:g} %", _tax_note(country)),
        "tasks": [
            {"name": name, "hours": Assumed(about(hours, "h", spread), "a usual first conversion of a kind; ask who has built one")}
            for name, hours, spread in HOURS
        ],
        "exchange": {} if currency == "EUR" else {"EUR": Assumed(f"{worth:g} ± {0.1 * worth:.3g}", EXCHANGE)},
    }  # fmt: skip


def _tax_note(country: str) -> str:
    if country == "US":
        return "sales tax differs by state and place; ask the tax office"
    return "the usual rate there, from memory; ask the tax office"
