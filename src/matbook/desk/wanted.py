"""What is asked of the hours ahead, read once: every amount with its unit, range and name."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from matbook.engine.spread import width_at
from matbook.engine.units import dimension, parse
from matbook.errors import Refused
from matbook.plan.model import Lift, Mix, Plan, Site
from matbook.shift.ahead import HOUR, Ahead
from matbook.shift.families import ends_c
from matbook.shift.rolling import density_phases, planned_pace, work
from matbook.shift.skies import CLOUD, Sky

RANGES: Final[Mapping[str, tuple[str, str, str]]] = {
    # argument: what it measures, least, most
    "laid": ("temperature", "40 degC", "200 degC"),
    "ends": ("temperature", "40 degC", "150 degC"),
    "opens_below": ("temperature", "20 degC", "100 degC"),
    "thickness": ("length", "10 mm", "150 mm"),
    "air": ("temperature", "-25 degC", "50 degC"),
    "surface": ("temperature", "-25 degC", "75 degC"),
    "wind": ("speed", "0 m/s", "30 m/s"),
}
MOST_HOURS: Final = 24
MOST_THICKNESSES: Final = 8
USUALLY: Final = 6
"""Hours that are looked at where the weather is entered once."""
SHARES: Final = (0.75, 1.0, 1.25, 1.5)
"""Thicknesses beside the planned one, as shares of it."""


def wanted(plan: Plan, given: Mapping[str, Any], now: datetime) -> Ahead:
    """What was asked for, ready to be worked out.

    Args:
        plan: The plan in force, or NO_PLAN.
        given: lift or mix; laid, the mat behind the screed; thickness, one or several; hours, each
            with at, air, wind, and if known sky and surface; ends, opens_below, latitude and
            longitude where the plan doesn't say; opens is read by the one who asks.
        now: Hours without a date are of this day.

    Raises:
        Refused: A value that is missing or can't be taken: which, and what is allowed.
    """
    lift, mix = _course(plan, given)
    site = _site(plan, given)
    skies = _skies(given, now)
    planned = _planned(plan, lift, given)
    end = _ends(plan, mix, given)
    below = amount("opens_below", given.get("opens_below"))
    return Ahead(
        plan=plan,
        site=site,
        mix=mix,
        skies=skies,
        hours=_hours(given, skies, now),
        thicknesses_m=_thicknesses(plan, given, planned),
        planned_m=planned,
        laid_c=_need("laid", amount("laid", given.get("laid"))),
        ends_c=end,
        works=_works(plan, lift, mix),
        pace_m_s=planned_pace(plan),
        opens_below_c=below if below is not None or mix is None else mix.opens_below_c,
    )


def amount(
    name: str, given: object, ranges: Mapping[str, tuple[str, str, str]] | None = None
) -> float | None:
    """A measured argument in SI; None where it isn't given. Raises Refused."""
    if given is None or given == "":
        return None
    measure, low, high = (ranges or RANGES)[name]
    allowed = f"a {measure} from {low} to {high}, with its unit"
    try:
        found = parse(str(given)[:40])
    except Refused:
        raise Refused(name, str(given), allowed) from None
    if dimension(found.unit) != measure or not _si(low) <= found.si() <= _si(high):
        raise Refused(name, str(given), allowed)
    return found.si()


def _si(text: str) -> float:
    return parse(text).si()


def _need(name: str, value: float | None) -> float:
    if value is None:
        measure, low, high = RANGES[name]
        raise Refused(name, "", f"it is needed: a {measure} from {low} to {high}, with its unit")
    return value


def clock_or_moment(name: str, given: object, now: datetime) -> datetime:
    """A time of day of this day, or a whole moment with its offset. Raises Refused."""
    text = str(given or "")
    try:
        if len(text) == 5 and text[2] == ":":
            hour, minute = int(text[:2]), int(text[3:])
            return now.replace(hour=hour, minute=minute, second=0, microsecond=0)
        at = datetime.fromisoformat(text)
        return (at if at.tzinfo else at.replace(tzinfo=now.tzinfo)).replace(microsecond=0)
    except ValueError:
        raise Refused(name, text, "a time such as 07:30, or a whole date and time") from None


# Where, what, how thick


def _course(plan: Plan, given: Mapping[str, Any]) -> tuple[Lift | None, Mix | None]:
    name = str(given.get("lift") or "")
    if name and name not in plan.lifts:
        raise Refused("lift", name, f"one of the plan's lifts: {', '.join(plan.lifts) or 'none'}")
    lift = plan.lifts.get(name) or next(iter(plan.lifts.values()), None)
    return lift, plan.mixes.get(lift.mix) if lift is not None else None


def _site(plan: Plan, given: Mapping[str, Any]) -> Site:
    found = [_degrees(name, given.get(name), most) for name, most in PLACE.items()]
    if found[0] is not None and found[1] is not None:
        height = plan.site.wind_height_m if plan.site else Site(0.0, 0.0).wind_height_m
        return Site(found[0], found[1], height)
    if plan.site is None:
        missing = "latitude" if found[0] is None else "longitude"
        raise Refused(missing, "", "the plan doesn't say where the job lies: give it in degrees")
    return plan.site


PLACE: Final = {"latitude": 70.0, "longitude": 180.0}


def _degrees(name: str, given: object, most: float) -> float | None:
    if given is None or given == "":
        return None
    try:
        value = float(str(given))
    except ValueError:
        value = float("nan")
    if not -most <= value <= most:
        raise Refused(name, str(given), f"degrees from {-most:g} to {most:g}, north or east plus")
    return value


def _planned(plan: Plan, lift: Lift | None, given: Mapping[str, Any]) -> float:
    """The lift's own thickness; where the plan has none, the first that is asked for."""
    by_plan = lift.thickness_m if lift is not None else None
    if by_plan is not None and amount("thickness", f"{by_plan} m") is not None:
        asked = _listed(given.get("thickness"))
        return by_plan if not asked or by_plan in asked else asked[0]
    return _need("thickness", next(iter(_listed(given.get("thickness"))), None))


def _listed(given: object) -> list[float]:
    texts = given if isinstance(given, list) else str(given or "").split(",")
    if len(texts) > MOST_THICKNESSES:
        raise Refused("thickness", f"{len(texts)} of them", f"at most {MOST_THICKNESSES}")
    found = [amount("thickness", str(text).strip()) for text in texts]
    return [one for one in found if one is not None]


def _thicknesses(plan: Plan, given: Mapping[str, Any], planned: float) -> tuple[float, ...]:
    asked = _listed(given.get("thickness"))
    if len(asked) > 1:
        return tuple(sorted({*asked, planned}))
    step = 0.25 * 0.0254 if plan.job.units == "us" else 0.005
    beside = {round(planned * share / step) * step for share in SHARES if share != 1.0}
    kept = {round(one, 6) for one in beside if 0.010 <= one <= 0.150}
    return tuple(sorted({*kept, planned}))


def _ends(plan: Plan, mix: Mix | None, given: Mapping[str, Any]) -> float:
    asked = amount("ends", given.get("ends"))
    found = asked if asked is not None or mix is None else ends_c(plan, mix)
    return _need("ends", found)


def _works(plan: Plan, lift: Lift | None, mix: Mix | None) -> tuple[Any, ...]:
    """The phases of the lift's first lane; empty where the plan lacks something for one."""
    lane = plan.lanes.get(next(iter(lift.lanes), "")) if lift is not None else None
    if lane is None or mix is None:
        return ()
    width = width_at(lane.widths, lane.from_m)
    found = [work(plan, phase, width) for phase in density_phases(plan, mix.id)]
    known = [one for one in found if one is not None]
    return tuple(known) if len(known) == len(found) else ()


# The weather


def _skies(given: Mapping[str, Any], now: datetime) -> tuple[Sky, ...]:
    rows = given.get("hours")
    if not isinstance(rows, Sequence) or isinstance(rows, str) or not rows:
        raise Refused("hours", "", "the weather of at least one hour is needed: air and wind")
    if len(rows) > MOST_HOURS:
        raise Refused("hours", f"{len(rows)} of them", f"at most {MOST_HOURS}")
    found: list[Sky] = []
    for row in rows:
        if not isinstance(row, Mapping):
            raise Refused("hours", str(row), "each with at, air, wind, sky, surface")
        found.append(_sky(row, found[-1] if found else None, now))
    return tuple(sorted(found, key=lambda sky: sky.since))


def _sky(row: Mapping[str, Any], last: Sky | None, now: datetime) -> Sky:
    """The weather of an hour; what isn't said stays as the hour before had it."""
    at = clock_or_moment("at", row.get("at"), now)
    word = str(row.get("sky") or "")
    if word and word not in CLOUD:
        raise Refused("sky", word, f"one of {', '.join(CLOUD)}")
    air, wind, base = (amount(name, row.get(name)) for name in ("air", "wind", "surface"))
    if last is None:
        return Sky(at, _need("air", air), _need("wind", wind), CLOUD.get(word), base, ())
    return Sky(
        at,
        last.air_c if air is None else air,
        last.wind_m_s if wind is None else wind,
        CLOUD.get(word, last.cloud),
        last.base_c if base is None else base,
        (),
    )


def _hours(given: Mapping[str, Any], skies: Sequence[Sky], now: datetime) -> tuple[datetime, ...]:
    """Every hour from the first weather to the last, or to `until`; six where it is given once."""
    first, last = skies[0].since, skies[-1].since
    if given.get("until"):
        last = clock_or_moment("until", given["until"], now)
    elif last == first:
        last = first + (USUALLY - 1) * HOUR
    if not first <= last <= first + MOST_HOURS * HOUR:
        allowed = f"a time after the first hour, at most {MOST_HOURS} hours later"
        raise Refused("until", last.isoformat(timespec="minutes"), allowed)
    count = int((last - first) / HOUR) + 1
    return tuple(first + timedelta(hours=n) for n in range(count))
