"""The tyres and the speed that the new drive reaches."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.parts.tyres import marking_or_none, symbol_for
from voltwright.rules.clause import from_memory
from voltwright.rules.finding import Assessed, Finding, exceeds, likely
from voltwright.rules.rule import no_trips, rule
from voltwright.rules.ways import tyres_for_speed

_CLAUSE = from_memory("UN R30: the speed symbol stands on the side wall, after the load index")


@rule("trips", trips=no_trips)
def tyre_speed(seen: Assessed) -> Iterator[Finding]:
    """Do the tyres bear the top speed?"""
    figure, point = seen.figures.get("road.top_speed"), seen.si("road.top_speed")
    if figure is None or point is None:
        return
    most = point if figure.high is None else max(point, figure.unit.to_si(figure.high))
    unknown: list[str] = []
    for axle, text in _markings(seen).items():
        marking = marking_or_none(text)
        bears = marking.speed if marking else None
        if bears is None:
            unknown.append(f"{axle} '{text}'")
        elif exceeds(most, bears):
            yield _too_fast(seen, axle, text, bears, (point, most))
    if unknown:
        yield Finding(
            key="tyres.speed_unknown",
            severity="note",
            title="Nobody knows how fast the tyres may turn",
            detail=f"No speed symbol is marked: {', '.join(unknown)}. The car reaches {seen.text('road.top_speed')}.",
            value=seen.text("road.top_speed"),
            clause=_CLAUSE,
            remedy=f"Look the speed up in the tyre maker's tables; or fit tyres {_marked(most)}.",
        )


def _markings(seen: Assessed) -> dict[str, str]:
    tyres = seen.case.build.donor.tyres
    return {"front": tyres.front, "rear": tyres.rear}


def _too_fast(seen: Assessed, axle: str, text: str, bears: float, speeds: tuple[float, float]) -> Finding:
    """`speeds`: the top speed, and the upper end of its band. [m/s]"""
    point, most = speeds
    surely = exceeds(point, bears)
    return Finding(
        key=f"tyres.speed_{axle}",
        severity="caution",
        title=f"The car is faster than its {axle} tyres bear" if surely
        else f"The car may be faster than its {axle} tyres bear",
        detail=f"'{text}' is marked for {seen.speed(bears)}; the car reaches {seen.speed(point)}"
        + (f", perhaps {seen.speed(most)}." if most > point else "."),
        limit=seen.speed(bears),
        value=seen.speed(point if surely else most),
        margin=seen.speed(bears - (point if surely else most)),
        likelihood=likely(seen.failing("road.top_speed", bears, f"the {axle} tyres bear the top speed")),
        clause=_CLAUSE,
        remedy=f"Limit the road speed in the inverter to {seen.speed(bears)}, or fit tyres {_marked(most)}.",
        ladders=(tyres_for_speed(seen, axle),) if surely else (),
    )  # fmt: skip


def _marked(speed: float) -> str:
    letter = symbol_for(speed)
    return f"of the speed symbol {letter} or a faster one" if letter else "that their maker lets turn so fast"
