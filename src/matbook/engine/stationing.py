"""Stations: the labels along a road, and the distance along it that they stand for.

A station equation "back = ahead" says that one point carries two labels, which parts the road
into zones, counted from 0. Where ahead is the larger, labels are left out (a gap); where it is
the smaller, labels occur twice (an overlap). So a label is only a name: what is held and
subtracted is the distance along the road, in metres from the point that zone 0 calls 0+00.
"""

import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import isfinite
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.units import UNITS
from matbook.errors import AmbiguousStation, OutOfRange, Refused, UnknownStation

SOURCE: Final = "Montana DOT Road Design Manual, Appendix K, example 3-8"


class Style(NamedTuple):
    """How labels are written: what a station holds, and the decimals printed behind it."""

    length: int
    digits: int
    unit: str
    places: int
    example: str


STYLES: Final[Mapping[str, Style]] = {
    # Plans in feet print hundredths; stakes and wheels along a metric road read to 0.1 m.
    "100ft": Style(100, 2, "ft", 2, "124+46.20"),
    "100m": Style(100, 2, "m", 1, "29+46.5"),
    "1000m": Style(1000, 3, "m", 1, "2+946.5"),
}
FEET: Final = ("ft", "ftUS")
LONGEST_M: Final = 1e8
"""More than any road has, and little enough that a label stays exact."""

# Labels and distances are held in whole billionths of the style's foot or metre: exact, fast.
_PLACES: Final = 9
_ONE: Final = 10**_PLACES
_FAR: Final = 10**30

_LABEL = re.compile(r"([-\u2212]?)([0-9]{1,8})\+([0-9]+)(?:[.,]([0-9]{1,9}))?")
_WITH_ZONE = re.compile(r"(.*)\(zone ([0-9]{1,3})\)\s*")


class _Zone(NamedTuple):
    low: int
    high: int
    shift: int
    """Distance less label."""

    def point(self, label: int, slack: int) -> int | None:
        """The distance to a label, taken to the zone's end if it is beyond by the slack."""
        if self.low - slack <= label <= self.high + slack:
            return min(max(label, self.low), self.high) + self.shift
        return None


@dataclass(frozen=True)
class Stationing:
    """How the points of one road are labelled.

    Args:
        style: "100ft" (124+46.20 is 12,446.20 ft), "100m" (29+46.5) or "1000m" (2+946.5).
        equations: Pairs of labels (back, ahead) of one point each, in order along the road.
        foot: "ft" for the international foot or "ftUS" for the US survey foot, which is longer
            by two millionths; only the style 100ft has a use for it.

    Raises:
        Refused: The style or foot isn't known, a label can't be read, or the equations are out
            of order.

    Source: Montana DOT Road Design Manual, Appendix K, example 3-8.

    Example:
        >>> road = Stationing("100ft", [("26+00.55", "24+06.20")])
        >>> road.parse("25+00")
        Traceback (most recent call last):
        matbook.errors.AmbiguousStation: station is “25+00”; it lies in zones 0 and 1: say which, \
such as 25+00 (zone 1).
    """

    style: str
    equations: Sequence[tuple[str, str]] = ()
    foot: str = "ft"

    def __post_init__(self) -> None:
        if self.style not in STYLES:
            raise Refused("stationing style", self.style, "it must be one of " + ", ".join(STYLES))
        if self.foot not in FEET:
            raise Refused("foot", self.foot, "it must be ft or ftUS")
        pairs = tuple((back, ahead) for back, ahead in self.equations)
        object.__setattr__(self, "equations", pairs)
        _ = self._zones  # read now, so that a bad equation is refused here

    @cited("distance along the road to the point that carries the label", SOURCE)
    def parse(self, text: str, zone: int | None = None) -> float:
        """The distance along the road [m] to the point that carries a label.

        A label that overshoots a gap by no more than half its last printed digit is the point
        of the equation. A minus sign takes the whole label back from 0+00.

        Args:
            text: The label, such as "2+946", "2+946,5" or "25+00 (zone 1)"; the digits behind
                the plus are all there (2 or 3, by the style).
            zone: The zone, counted from 0, where the label doesn't name it.

        Raises:
            UnknownStation: No point carries the label: it falls in a gap, or isn't in that zone.
            AmbiguousStation: More than one point carries it, and no zone was given.
            Refused: The text isn't a label in this style.

        Source: Montana DOT Road Design Manual, Appendix K, example 3-8.

        Example:
            >>> Stationing("1000m").parse("2+946,5")
            2946.5
        """
        with_zone = _WITH_ZONE.fullmatch(text)
        bare = with_zone[1].strip() if with_zone else text
        zone = int(with_zone[2]) if with_zone else zone
        label, slack = self._label(bare)
        points = self._points(label, slack, zone)
        if not points:
            raise UnknownStation("station", text, self._missing(label, zone))
        if len(set(points.values())) > 1:
            names = " and ".join(map(str, points))
            allowed = f"it lies in zones {names}: say which, such as {bare} (zone {max(points)})"
            raise AmbiguousStation("station", text, allowed, tuple(points))
        factor = self._factor
        return points.popitem()[1] * factor.numerator / (_ONE * factor.denominator)

    def format(
        self, distance_m: float, places: int | None = None, *, with_zone: bool = False
    ) -> str:
        """The label of the point at a distance along the road.

        Args:
            distance_m: Distance as `parse` gives it [m].
            places: Decimals to print, 0 to 9; by itself 2 in feet, as plans print them, and in
                metres 1, or none at a whole metre.
            with_zone: Whether to add the zone, such as " (zone 1)", where the label alone would
                not lead back to this point.

        Raises:
            OutOfRange: The distance isn't finite, or longer than any road.

        Source: Montana DOT Road Design Manual, Appendix K, example 3-8.

        Example:
            >>> Stationing("1000m").format(2999.996, 2)
            '3+000.00'
            >>> road = Stationing("100ft", [("26+00.55", "24+06.20")])
            >>> road.format(road.parse("25+00", zone=1), with_zone=True)
            '25+00.00 (zone 1)'
        """
        style = STYLES[self.style]
        kept = style.places if places is None else places
        if not 0 <= kept <= _PLACES:
            raise OutOfRange("places", kept, f"it must be from 0 to {_PLACES}")
        step = 10 ** (_PLACES - kept)
        along = self._along(distance_m)
        zone = self._zone_at(along)
        count = round(Fraction(along - self._zones[zone].shift, step))
        text = _printed(count, kept, style)
        if places is None:
            text = text.removesuffix(".0")  # in feet there are two
        if not with_zone:
            return text
        label, slack = self._label(text)
        alone = set(self._points(label, slack, None).values())
        here = set(self._points(label, slack, zone).values())
        return text if alone == here else f"{text} (zone {zone})"

    @cited("difference of the distances along the road", SOURCE)
    def distance_between(self, a_m: float, b_m: float) -> float:
        """How far apart two points are along the road [m], whichever comes first.

        Args:
            a_m: Distance of one point as `parse` gives it [m].
            b_m: Distance of the other [m].

        Source: Montana DOT Road Design Manual, Appendix K, example 3-8.

        Example:
            >>> road = Stationing("100ft", [("26+00.55", "24+06.20")])
            >>> apart_m = road.distance_between(road.parse("20+00"), road.parse("30+00"))
            >>> round(apart_m / 0.3048, 2)
            1194.35
        """
        return abs(b_m - a_m)

    def zone_of(self, distance_m: float) -> int:
        """The zone, counted from 0, of a distance along the road [m].

        The point of an equation belongs to the zone ahead.

        Raises:
            OutOfRange: The distance isn't finite, or longer than any road.

        Source: definition.

        Example:
            >>> Stationing("1000m", [("1+993", "2+000")]).zone_of(1993.0)
            1
        """
        return self._zone_at(self._along(distance_m))

    @cached_property
    def _factor(self) -> Fraction:
        unit = STYLES[self.style].unit
        return UNITS[self.foot if unit == "ft" else unit].factor

    @cached_property
    def _zones(self) -> tuple[_Zone, ...]:
        zones: list[_Zone] = []
        low, shift = -_FAR, 0
        for back, ahead in self.equations:
            high, _ = self._label(back)
            if high <= low:
                allowed = "equations come in order along the road, each as (back, ahead)"
                raise Refused("station equation", f"{back} = {ahead}", allowed)
            zones.append(_Zone(low, high, shift))
            low, _ = self._label(ahead)
            shift += high - low
        return (*zones, _Zone(low, _FAR, shift))

    def _along(self, distance_m: float) -> int:
        if not isfinite(distance_m) or abs(distance_m) > LONGEST_M:
            raise OutOfRange("distance", distance_m, f"it must be within {LONGEST_M:.0f} m")
        return round(Fraction(distance_m) * _ONE / self._factor)

    def _zone_at(self, along: int) -> int:
        return bisect_right(self._zones, along, key=lambda zone: zone.low + zone.shift) - 1

    def _label(self, text: str) -> tuple[int, int]:
        """A label, and half of its last printed digit."""
        style = STYLES[self.style]
        match = _LABEL.fullmatch("".join(text.split()))
        if match is None or len(match[3]) != style.digits:
            allowed = f"it must be a label with {style.digits} digits behind the plus, such as"
            raise Refused("station", text, f"{allowed} {style.example}")
        sign, stations, plus, part = match.groups("")
        size = (int(stations) * style.length + int(plus)) * _ONE + int(part.ljust(_PLACES, "0"))
        return -size if sign else size, 10 ** (_PLACES - len(part)) // 2

    def _points(self, label: int, slack: int, zone: int | None) -> dict[int, int]:
        """The distance to a label in each zone that has it; near a gap, within the slack."""
        count = len(self._zones)
        if zone is not None and not 0 <= zone < count:
            raise UnknownStation("zone", zone, f"the zones of this road are 0 to {count - 1}")
        asked = range(count) if zone is None else (zone,)
        for reach in (0, slack):
            points = {i: self._zones[i].point(label, reach) for i in asked}
            found = {i: point for i, point in points.items() if point is not None}
            if found:
                return found
        return {}

    def _missing(self, label: int, zone: int | None) -> str:
        if zone is None:
            gap = next(
                f"{back} = {ahead}"
                for (back, ahead), here, beyond in zip(
                    self.equations, self._zones, self._zones[1:], strict=False
                )
                if here.high < label < beyond.low
            )
            return f"no point carries it, since the equation {gap} leaves out the labels between"
        begins = f" from {self.equations[zone - 1][1]}" if zone > 0 else ""
        ends = f" to {self.equations[zone][0]}" if zone < len(self.equations) else ""
        return f"zone {zone} runs{begins}{ends}"


def _printed(count: int, places: int, style: Style) -> str:
    whole, part = divmod(abs(count), 10**places)
    stations, plus = divmod(whole, style.length)
    decimals = f".{part:0{places}d}" if places else ""
    return f"{'-' if count < 0 else ''}{stations}+{plus:0{style.digits}d}{decimals}"
