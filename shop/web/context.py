"""What every sheet needs: the zones of its margin that this person may open."""

from __future__ import annotations

from typing import Any, NamedTuple

from django.http import HttpRequest


class Zone(NamedTuple):
    """One place in the margin; its letter is also its access key."""

    key: str
    letter: str
    label: str
    url_name: str
    permission: str


ZONES = (
    Zone("commissions", "A", "Commissions", "commissions", "orders.see_commissions"),
    Zone("wall-chart", "B", "Wall chart", "wall-chart", "shop.see_schedule"),
    Zone("day-sheets", "C", "Day sheets", "day-sheets", "shop.see_schedule"),
    Zone("bench", "D", "Bench", "bench", "shop.clock"),
    Zone("joint-book", "E", "Joint book", "joint-book", "orders.see_joint_book"),
    Zone("rack", "F", "Rack", "rack", "costing.see_rack"),
    Zone("rate-book", "G", "Rate book", "rate-book", "costing.see_rates"),
    Zone("time-book", "H", "Time book", "time-book", "shop.see_clockings"),
    Zone("labour", "I", "Labour", "labour", "costing.see_labour"),
    Zone("workshop", "J", "Workshop", "workshop", "shop.edit_stations"),
)


def sheet(request: HttpRequest) -> dict[str, Any]:
    """The zones, and the one this page lies in."""
    match = getattr(request, "resolver_match", None)
    here = getattr(match.func, "zone", "") if match else ""
    user = getattr(request, "user", None)
    zones = [zone for zone in ZONES if user and user.has_perm(zone.permission)]
    return {"zones": zones, "zone_here": here, "workshop": getattr(request, "workshop", None)}
