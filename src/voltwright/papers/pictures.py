"""Which pictures a dossier has to show, for papers, pages and tables alike."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from voltwright.assess.curves import axle_bars, mass_bars, power_map, traction_plot
from voltwright.assess.heat_curves import heat_lines
from voltwright.assess.journey_curves import charging_lines, cold_lines, energy_bars, range_lines, trip_lines
from voltwright.assess.keys import question_of
from voltwright.assess.life_curves import capacity_lines
from voltwright.assess.route_curves import route_lines, shown_route
from voltwright.assess.trips import USUAL_TRIP, main_trip
from voltwright.quantity.plot import Plot
from voltwright.rules.dossier import Dossier


@dataclass(frozen=True)
class Picture:
    """A plot under a key that begins with its question, in the units of the figures."""

    key: str
    plot: Plot

    @property
    def question(self) -> str:
        return question_of(self.key)


def pictures_of(dossier: Dossier, question: str = "", *, key: str = "") -> Iterator[Picture]:
    """What is better seen than read: of one question, of one key, or all; what the build cannot show is left out."""
    for each, draw in PICTURES.items():
        wanted = question in ("", question_of(each)) and key in ("", each)
        plot = draw(dossier) if wanted else None
        if plot is not None:
            yield Picture(each, plot)


def _shown_trip(dossier: Dossier) -> Plot | None:
    """A route of the duty over its way; else the customer's trip over time.

    Where that is a steady speed, which has nothing to show, the usual one of type approval.
    """
    name = main_trip(dossier.case)
    route = shown_route(dossier.case, name)
    if route is not None:
        return route_lines(dossier.case, dossier.figures, route)
    return trip_lines(dossier.figures, USUAL_TRIP if name.startswith("steady-") else name)


PICTURES: Mapping[str, Callable[[Dossier], Plot | None]] = {
    "mass.before_and_after": lambda made: mass_bars(made.case, made.figures),
    "mass.axles": lambda made: axle_bars(made.case, made.figures),
    "pack.power": lambda made: power_map(made.case, made.sheet),
    "road.traction": lambda made: traction_plot(made.case, made.sheet),
    "road.range_over_speed": lambda made: range_lines(made.figures),
    "road.range_over_temperature": lambda made: cold_lines(made.case, made.figures, made.spreads),
    "road.trip": _shown_trip,
    "road.energy": lambda made: energy_bars(made.figures),
    "heat.worst": lambda made: heat_lines(made.case, made.figures),
    "charge.curve": lambda made: charging_lines(made.figures),
    "life.capacity": lambda made: capacity_lines(made.figures, made.spreads),
}
