"""What pieces of mat cool by: a few families of forecasts that the pieces of a shift share.

Pieces of one lift and mix share a family for as long as weather and base are alike: changes of the
weather, the age of a warm lift below and the sun's hour are told apart in steps.
"""

from dataclasses import replace
from datetime import datetime, timedelta
from math import log
from typing import Final

from matbook.engine.family import Family
from matbook.engine.layers import Layer, OpenSky
from matbook.engine.moisture import WATER_KG_M3
from matbook.engine.warm import warmed
from matbook.engine.wetness import roller_water_w_m2
from matbook.errors import OutOfRange
from matbook.plan.model import Lift, Mix, Plan
from matbook.shift.facts import Facts
from matbook.shift.ground import beneath, lift_layer
from matbook.shift.laid import Piece
from matbook.shift.skies import followed, skies, sky_at, weather_from

YOUNGEST_S: Final = 60.0
AGED: Final = 1.25
"""Ages of a lift as a base are told apart by this factor."""
WARM_K: Final = 10.0
"""And its temperatures as laid by this."""
SLOW: Final = 1.3e5
"""Weather that changes later than so many seconds per metre of thickness to the power 1.5 comes
too late to matter."""
ROLLED_S: Final = (120.0, 1020.0)
"""From when to when after laying rollers leave their water on the mat; assumed."""

Warm = tuple[Family, float, float]
"""A lift laid this shift as a base: what it cools by, what it started from [°C], its age [s]."""

Met = tuple[tuple[float, OpenSky], ...]
"""What a mat meets as it cools, each with the moment after laying from which it holds [s]."""


def ends_c(plan: Plan, mix: Mix) -> float | None:
    """Mean temperature at which rolling makes no more density, by the mix or by its phases."""
    if mix.rolling_ends_c is not None:
        return mix.rolling_ends_c
    mine = [one.ends_c for one in plan.phases if one.mix in ("", mix.id) and one.makes_density]
    return min(mine, default=None)


def warmth(family: Family, starts_c: float, age: timedelta) -> Warm:
    """A lift as a base: its temperature to 10 K, its age in steps of a fourth."""
    age_s = max(YOUNGEST_S, age.total_seconds())
    steps = round(log(age_s / YOUNGEST_S) / log(AGED))
    return family, WARM_K * round(starts_c / WARM_K), YOUNGEST_S * AGED**steps


def family_for(
    facts: Facts, piece: Piece, at: datetime, warm: Warm | None, *, frozen: bool
) -> Family | None:
    """What a piece laid at a moment cools by; None where too little is known to forecast it."""
    plan = facts.plan_at(piece.at)
    lift, mix = plan.lifts.get(piece.lift), plan.mixes.get(piece.mix)
    if plan.site is None or lift is None or mix is None:
        return None
    own, end = _lift(lift, mix), ends_c(plan, mix)
    if own is None or end is None:
        return None
    states = skies(facts)
    site, sky = plan.site, sky_at(states, at)
    seen = facts.once(("followed", states, id(plan)), lambda: followed(states, site))
    met = weather_from(seen, at, SLOW * own.thickness_m**1.5)
    if sky is None or not met:
        return None
    met = _watered(met, WATER_KG_M3 * site.roller_water_m)
    base_c = round(sky.base_c if sky.base_c is not None else met[0][1].air_c)
    key = ("cooling", own, end, met, warm or (base_c, frozen), id(plan))
    return facts.once(key, lambda: _family(facts, plan, own, end, met, warm or (base_c, frozen)))


def _family(
    facts: Facts, plan: Plan, own: Layer, end: float, met: Met, base: Warm | tuple[float, bool]
) -> Family | None:
    try:
        if len(base) == 2:
            below = beneath(plan.ground, base[0], ice=base[1])
        else:
            below = _warmed(facts, base)
        return Family(own, below, met[0][1] if len(met) == 1 else met, end)
    except OutOfRange:
        return None


def _lift(lift: Lift, mix: Mix) -> Layer | None:
    """The lift as compacted; None where its thickness isn't known."""
    thick = lift.thickness_m
    if thick is None and lift.spread_kg_m2 is not None:
        thick = lift.spread_kg_m2 / lift_layer(1.0, mix).density_kg_m3
    return None if thick is None else lift_layer(thick, mix)


def _warmed(facts: Facts, warm: Warm) -> tuple[Layer, ...]:
    family, starts_c, age_s = warm
    layers = (replace(family.lift, start_c=starts_c), *family.under)
    return facts.once(("warmed", *warm), lambda: warmed(layers, family.weather, age_s))


def _watered(met: Met, water_kg_m2: float) -> Met:
    """The same with what the rollers' water takes from the surface while they roll."""
    if water_kg_m2 == 0.0:
        return met
    first, last = ROLLED_S
    taken = roller_water_w_m2(water_kg_m2, 1, last - first)
    found = []
    for begins in sorted({*ROLLED_S, *(start for start, _ in met)}):
        sky = [one for start, one in met if start <= begins][-1]
        wet = taken if first <= begins < last else 0.0
        found.append((begins, replace(sky, absorbed_w_m2=sky.absorbed_w_m2 + wet)))
    return tuple(found)
