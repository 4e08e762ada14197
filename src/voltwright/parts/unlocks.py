"""What an optional field of a datasheet unlocks, said when a datasheet without it is imported."""

from __future__ import annotations

from voltwright.parts.base import Part

_PRICE = "no sum can be given for a build that uses it, until the build names a price"

# Only what a figure, a finding or a paper uses: a field that changes nothing is not worth asking for.
_OF_KIND: dict[str, dict[str, str]] = {
    "module": {
        "capacity": "the capacity is that of the cells in parallel",
        "voltage_nominal": "the nominal voltage is that of the cells in series",
        "current_continuous": "the limit is that of the cells alone, not of links and terminals",
        "current_peak": "the limit is that of the cells alone, not of links and terminals",
    },
    "fuse": {"melting": "papers that rest on it are marked NOT FOR BUILDING"},
    "bms": {"board_price": "the price is taken as that of the whole set, however many boards"},
}


def unlocks(part: Part) -> tuple[str, ...]:
    """What each empty field would unlock, one sentence each."""
    priced = {} if part.kind == "cell" else {"price": _PRICE}  # cells are bought as modules
    said = {**_OF_KIND.get(part.kind, {}), **_where_it_applies(part), **priced}
    return tuple(f"without {field}, {loss}" for field, loss in said.items() if getattr(part, field) is None)


def _where_it_applies(part: Part) -> dict[str, str]:
    """Fields that matter only to some parts of a kind."""
    get = lambda field: getattr(part, field, None)  # noqa: E731
    said: dict[str, str] = {}
    if part.kind == "module" and get("stock") != "new":
        said["health"] = (
            "the module counts as 80 % of new, give or take 12 %: give what the bench measured"
            if get("stock") == "salvaged"
            else "the module counts as new: give what the bench measured"
        )
    if part.kind == "motor" and get("principle") == "permanent-magnet":
        said["back_emf"] = "the voltage that the turning motor makes at overspeed cannot be checked"
    return said
