"""What is wrong with a file that should hold a pay schedule: a sentence for each mistake.

A place counts tables from 1, as people do: groups[2].bands[1].
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import inf, isfinite
from typing import Any, Final

from matbook.engine.cited import cited
from matbook.engine.quality import conventions
from matbook.engine.rounding import RULES
from matbook.engine.samples import MOST_RESULTS
from matbook.engine.schedules import MEASURES, PERCENT

ABOUT: Final = ("title", "source", "edition", "standing")
HOWS: Final = ("weighted", "lowest")
HIGHEST_FACTOR: Final = 2.0
SHAPES: Final = ("bands", "polynomial", "least")
# fmt: off
KEYS: Final[Mapping[str, frozenset[str]]] = {
    "schedule": frozenset({
        *ABOUT, "measure", "groups", "tries", "blend", "convention", "places", "rounding", "target",
        "reject_below", "left_in_place", "share_above", "share_below",
    }),
    "composite": frozenset({*ABOUT, "composite", "weights", "cap"}),
    "group": frozenset({*SHAPES, "from", "to", "cap", "standing"}),
    "band": frozenset({"from", "to", "factor", "rejected"}),
    "try": frozenset({"lower", "upper", "cap"}),
}
# fmt: on
"""What each table of a file may hold."""

Raw = Mapping[str, Any]


def faults(raw: Raw) -> list[str]:
    """Every mistake of a file, each with its place; empty where it has none.

    Args:
        raw: The file's tables.

    Source: definition.

    Example:
        >>> faults({"title": "T", "source": "S", "edition": "", "standing": "read"})
        ['measure: it must be there.', 'groups: there must be at least one.']
    """
    if "composite" in raw:
        return [*_about(raw, "composite"), *_composite_faults(raw)]
    return [*_about(raw, "schedule"), *_schedule_faults(raw)]


@cited("from and to, or where the measure ends", "definition")
def ends(band: Raw, measure: Any) -> tuple[float, float]:
    """Where a band runs; an end that isn't named is open, or where its measure ends.

    Args:
        band: The band's table.
        measure: The schedule's measure.

    Source: definition.

    Example:
        >>> ends({"to": 0.6}, "mean deviation")
        (0.0, 0.6)
    """
    least = -inf if measure == "mean" else 0.0
    most = 100.0 if measure == PERCENT else inf
    return float(band.get("from", least)), float(band.get("to", most))


def _about(raw: Raw, kind: str) -> Iterator[str]:
    yield from _unknown(raw, kind, "")
    for key in ABOUT:
        if not isinstance(raw.get(key), str) or (key != "edition" and not raw[key].strip()):
            yield f"{key}: it must be there, as text."


def _unknown(raw: Raw, kind: str, place: str) -> Iterator[str]:
    for key in sorted(raw.keys() - KEYS[kind]):
        yield f"{place}{key}: unknown here; there may be {', '.join(sorted(KEYS[kind]))}."


def _schedule_faults(raw: Raw) -> Iterator[str]:
    if "measure" not in raw:
        yield "measure: it must be there."
    elif raw["measure"] not in MEASURES:
        yield f"measure: “{raw['measure']}” must be {' or '.join(MEASURES)}."
    if raw.get("convention", "exact") not in ("exact", *conventions()):
        yield f"convention: it must be exact or {' or '.join(conventions())}."
    if raw.get("rounding", "half-even") not in RULES:
        yield f"rounding: it must be {' or '.join(RULES)}."
    if "places" in raw and raw["places"] not in range(7):
        yield "places: it must be 0 to 6."
    yield from _number_fault(raw, "target", -inf, inf)
    for key in ("reject_below", "left_in_place", "share_above", "share_below"):
        yield from _number_fault(raw, key, 0.0, HIGHEST_FACTOR)
    for place, one in enumerate(_tables(raw, "tries"), 1):
        yield from _try_faults(one, f"tries[{place}].")
    yield from _groups_faults(raw)


def _groups_faults(raw: Raw) -> Iterator[str]:
    groups = _tables(raw, "groups")
    if not groups:
        yield "groups: there must be at least one."
    step = _step(raw)
    for place, group in enumerate(groups, 1):
        yield from _group_faults(group, f"groups[{place}].", raw.get("measure"), step)
    runs = [(group.get("from"), group.get("to", MOST_RESULTS)) for group in groups]
    whole = [(low, high) for low, high in runs if type(low) is int and type(high) is int]
    if len(whole) < len(runs):
        return
    for (low, high), (following, _) in pairwise(whole):
        if following != high + 1:
            what = "a gap" if following > high + 1 else "an overlap"
            yield f"groups: there is {what} between {low} to {high} and {following} results."
    yield from _blend_faults(raw, whole)


def _step(raw: Raw) -> float:
    """How far apart two values of the measure are at least, by how it is rounded."""
    if raw.get("convention", "exact") != "exact":
        return 1.0  # tables give whole percents
    return float(10.0 ** -raw["places"]) if raw.get("places") in range(7) else 0.0


def _blend_faults(raw: Raw, runs: Sequence[tuple[int, int]]) -> Iterator[str]:
    if "blend" not in raw:
        return
    blend = raw["blend"]
    if not (isinstance(blend, list) and len(blend) == 2 and all(type(n) is int for n in blend)):
        yield "blend: it must be two numbers of results."
    elif len(runs) < 3 or blend[0] < runs[1][0] or blend[1] > runs[-2][1]:
        yield "blend: every group in it must have one below and one above."


def _group_faults(raw: Raw, place: str, measure: Any, step: float) -> Iterator[str]:
    yield from _unknown(raw, "group", place)
    low, high = raw.get("from"), raw.get("to", MOST_RESULTS)
    if type(low) is not int or type(high) is not int or not 1 <= low <= high <= MOST_RESULTS:
        yield f"{place}from: from and to must be 1 to {MOST_RESULTS} results, in this order."
    elif measure == PERCENT and low < 3:
        yield f"{place}from: percent within limits takes at least 3 results."
    yield from _number_fault(raw, "cap", 0.0, HIGHEST_FACTOR, place)
    shapes = [shape for shape in SHAPES if shape in raw]
    if len(shapes) != 1:
        yield f"{place}bands: there must be one of {', '.join(SHAPES)}."
    elif shapes[0] == "bands":
        yield from _bands_faults(_tables(raw, "bands"), place, measure, step)
    elif measure != PERCENT:
        yield f"{place}{shapes[0]}: this is only for {PERCENT}."
    elif shapes[0] == "polynomial":
        if not _numbers(raw["polynomial"]):
            yield f"{place}polynomial: it must be a list of numbers."
    else:
        yield from _least_faults(raw["least"], place)


def _bands_faults(bands: Sequence[Raw], place: str, measure: Any, step: float) -> Iterator[str]:
    if not bands:
        yield f"{place}bands: there must be at least one."
    for k, band in enumerate(bands, 1):
        yield from _unknown(band, "band", f"{place}bands[{k}].")
        yield from _band_faults(band, f"{place}bands[{k}].", measure)
    runs = sorted(ends(band, measure) for band in bands if _has_ends(band))
    for (low, high), (following, _) in pairwise(runs):
        # to and from that differ by one printed step have nothing between them
        if following - high > step + 1e-9:
            yield f"{place}bands: nothing is said between {high:g} and {following:g}."
        if following < high - 1e-9:
            yield f"{place}bands: {low:g} to {high:g} overlaps what begins at {following:g}."
    if measure == PERCENT and runs and (runs[0][0] > 0.0 or runs[-1][1] < 100.0):
        yield f"{place}bands: they must run from 0 to 100 %."


def _band_faults(band: Raw, place: str, measure: Any) -> Iterator[str]:
    if not _has_ends(band):
        yield f"{place}from: from and to must be numbers."
        return
    low, high = ends(band, measure)
    if not low <= high:
        yield f"{place}from: {low:g} must not be above to, {high:g}."
    if not isinstance(band.get("rejected", False), bool):
        yield f"{place}rejected: it must be true or false."
    factor = band.get("factor", 0.0 if band.get("rejected") else None)
    both = factor if isinstance(factor, list) else [factor]
    if not _numbers(both) or not all(0.0 <= f <= HIGHEST_FACTOR for f in both) or len(both) > 2:
        yield f"{place}factor: it must be 0 to {HIGHEST_FACTOR:g}, or two of them for a line."
    elif len(both) == 2 and not (isfinite(high - low) and high > low):
        yield f"{place}factor: a line must have both its ends."


def _least_faults(rows: Any, place: str) -> Iterator[str]:
    paired = isinstance(rows, list) and all(_numbers(row) and len(row) == 2 for row in rows)
    if not paired or not rows:
        yield f"{place}least: it must be a list of [factor, percentage]."
        return
    for factor, least in rows:
        if not (0.0 <= factor <= HIGHEST_FACTOR and 0.0 <= least <= 100.0):
            yield f"{place}least: [{factor}, {least}] must be a factor and a percentage."
    for (factor, least), (lower, following) in pairwise(rows):
        if not (lower < factor and following < least):
            yield f"{place}least: [{lower}, {following}] must be below [{factor}, {least}]."


def _try_faults(raw: Raw, place: str) -> Iterator[str]:
    yield from _unknown(raw, "try", place)
    faults = [
        *_number_fault(raw, "lower", -inf, inf, place),
        *_number_fault(raw, "upper", -inf, inf, place),
        *_number_fault(raw, "cap", 0.0, HIGHEST_FACTOR, place),
    ]
    yield from faults
    if not faults and not raw.get("lower", -inf) < raw.get("upper", inf):
        yield f"{place}lower: {raw['lower']} must be below upper, {raw['upper']}."


def _composite_faults(raw: Raw) -> Iterator[str]:
    if raw["composite"] not in HOWS:
        yield f"composite: “{raw['composite']}” must be {' or '.join(HOWS)}."
    yield from _number_fault(raw, "cap", 0.0, HIGHEST_FACTOR)
    weights = raw.get("weights")
    if not isinstance(weights, dict) or not weights or not _numbers(list(weights.values())):
        yield "weights: there must be a characteristic with a number at least."
    elif not all(weight > 0.0 for weight in weights.values()):
        yield "weights: every weight must be above 0."


def _number_fault(raw: Raw, key: str, low: float, high: float, place: str = "") -> Iterator[str]:
    if key not in raw:
        return
    if not _numbers([raw[key]]):
        yield f"{place}{key}: {raw[key]} must be a number."
    elif not low <= raw[key] <= high:
        yield f"{place}{key}: {raw[key]} must be {low:g} to {high:g}."


def _numbers(values: Any) -> bool:
    """Whether it is a list of numbers, none of them endless and none a yes or no."""
    return isinstance(values, list) and all(
        type(value) in (int, float) and isfinite(value) for value in values
    )


def _tables(raw: Raw, key: str) -> Sequence[Raw]:
    """The tables under a key; one that isn't a table is read as an empty one, and so refused."""
    found = raw.get(key, [])
    rows = found if isinstance(found, list) else [found]
    return [row if isinstance(row, dict) else {} for row in rows]


def _has_ends(band: Raw) -> bool:
    return _numbers([band[key] for key in ("from", "to") if key in band])
