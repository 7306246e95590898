"""Mornings of trucks that come round, for tests; all of it invented."""

from typing import Any

from tests.shift.site import PLAN, Site, at, moment, on

STEP, TRUCKS = 8.0, 6
"""Every 8 minutes a load; six trucks, so each is there again after 48 minutes."""


def morning(
    loads: int = 14, *, loaded: bool = True, arrived: int = 1, plan: str = PLAN, **body: Any
) -> Site:
    """Loads from minute 0: loaded 25 min before their turn, there 4 min before it."""
    site = Site(plan)
    site.write("paver", {"event": "start"}, 0, place=at(0))
    for n in range(loads):
        minute = n * STEP
        said: dict[str, Any] = {"truck": f"T{n % TRUCKS}"}
        if loaded:
            said["loaded"] = moment(minute - 25)
        if arrived and n % arrived == 0:
            said["arrived"] = moment(minute - 4)
        take(site, n, minute, **{**said, **body})
        site.write("paver", {"event": "at"}, minute + STEP, place=at(50 * n + 50))
    return site


def take(site: Site, n: int, minute: float, **said: Any) -> None:
    site.load(str(100 + n), minute, place=on("E", "binder", 50 * n, 50 * n + 50), **said)


def bursts(plan: str = PLAN) -> Site:
    """Three trucks: 24 min of laying, then the paver stands for 20 until the first is back."""
    site = Site(plan)
    site.write("paver", {"event": "start"}, 0, place=at(0))
    for n in range(9):
        minute = 44 * (n // 3) + STEP * (n % 3)
        take(site, n, minute, truck=f"T{n % 3}", loaded=moment(minute - 21),
             arrived=moment(minute))  # fmt: skip
        last = n % 3 == 2
        body = {"event": "stop", "reason": "waiting for mix"} if last else {"event": "at"}
        site.write("paver", body, minute + STEP, place=at(50 * n + 50))
        if last:
            site.write("paver", {"event": "start"}, minute + STEP + 20, place=at(50 * n + 50))
    return site
