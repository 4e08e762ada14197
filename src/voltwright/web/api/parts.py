"""The shelf of parts."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Body, Query

from voltwright.services.views import JobView, OwnPart, PartRow, PartView
from voltwright.web.api.asked import LARGEST, Meant, Shop, Who, router_of

router = router_of("parts")


@router.get("/parts")
def list_parts(shop: Shop, who: Who, kind: str | None = None) -> tuple[PartRow, ...]:
    """The parts on the shelf, or those of a kind."""
    return shop.parts.list(who, kind)


@router.put("/parts")
def put_part(
    shop: Shop,
    who: Who,
    datasheet: Annotated[dict[str, Any], Body()],
    since: Annotated[int, Query(ge=0, le=LARGEST)] = 0,
) -> PartView:
    """Put an own part on the shelf from its datasheet. Of one that is there it becomes the newer one: `since` is then the
    number of the datasheet that was seen, and somebody else's later one is never overwritten."""
    return shop.parts.put(who, datasheet, since=since)


@router.get("/parts/{kind}/{name}")
def show_part(shop: Shop, who: Who, kind: str, name: str) -> PartView:
    """A datasheet with the source and grade of each value."""
    return shop.parts.show(who, f"{kind}/{name}")


@router.get("/parts/{kind}/{name}/log")
def log_part(shop: Shop, who: Who, kind: str, name: str) -> tuple[OwnPart, ...]:
    """Every datasheet that an own part has had, oldest first."""
    return shop.parts.log(who, f"{kind}/{name}")


@router.delete("/parts/{kind}/{name}")
def take_off_part(shop: Shop, who: Who, kind: str, name: str) -> OwnPart:
    """Take an own part off the shelf that no build names."""
    return shop.parts.take_off(who, f"{kind}/{name}")


@router.post("/builds/{build}/fitting/{kind}", status_code=202)
def fitting(shop: Shop, who: Who, which: Meant, kind: str) -> JobView:
    """Begin to try every part of a kind in its places; the job then gives them under `places`."""
    return shop.parts.fitting(who, which, kind)
