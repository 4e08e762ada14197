"""What a customer asks first: how far, how quick, how fast, and how long on the plug."""

from __future__ import annotations

from voltwright.assess.trips import main_trip
from voltwright.parts.trips import trip_title
from voltwright.rules.dossier import Dossier

TITLE = "What a customer asks first"


def asked_first(dossier: Dossier) -> tuple[tuple[str, str], ...]:
    """Key and short label of each such figure that the dossier has."""
    trip, figures = main_trip(dossier.case), dossier.figures
    hundred = figures.get("road.time_0_100")
    pace = "50" if hundred is None or hundred.value is None else "100"
    times = [key for key in figures if key.startswith("charge.time_full.")]
    plug = next((key for key in times if figures[key].value is not None), times[0] if times else "")
    asked = (
        (f"road.range.{trip}", f"Range, {trip_title(trip)}"),
        (f"road.time_0_{pace}", f"0 to {pace} km/h"),
        ("road.top_speed", "Top speed"),
        (plug, f"Charging, {plug.removeprefix('charge.time_full.')}"),
    )
    return tuple((key, label) for key, label in asked if key in figures)
