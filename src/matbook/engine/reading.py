"""A temperature read on the mat, and how well it was read."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Final, Literal

from matbook.engine.curve import Curve
from matbook.engine.ranges import from_zero, within
from matbook.errors import OutOfRange

READ_BY: Final[Mapping[str, tuple[float, str]]] = {
    # how it was read -> standard deviation of one reading [K], and why
    "probe": (2.0, "assumed: the probe's own error and where its tip is"),
    "infrared": (4.0, "assumed: emissivity, steam and the spot's own scatter"),
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One temperature read on the mat.

    Args:
        at_s: When, since the piece was laid [s], from 0.
        temp_c: What was read [°C], -40 to 250.
        how: `probe` or `infrared`; an infrared reading is of the surface alone.
        depth_m: Depth of the probe's tip [m]; the middle of the lift if left out.

    Raises:
        OutOfRange: A value outside its range; a reading from before the piece was laid.

    Source: definition.

    Example:
        >>> Reading(600.0, 112.0, "probe").how
        'probe'
    """

    at_s: float
    temp_c: float
    how: Literal["probe", "infrared"]
    depth_m: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 <= self.at_s < inf:
            raise OutOfRange("at_s", self.at_s, "0 or more: before that the piece wasn't laid")
        within("temp_c", self.temp_c, -40.0, 250.0)
        if self.how not in READ_BY:
            raise OutOfRange("how", self.how, f"one of {', '.join(READ_BY)}")
        if self.depth_m is not None:
            from_zero("depth_m", self.depth_m)
            if self.how == "infrared":
                raise OutOfRange("depth_m", self.depth_m, "none: infrared sees the surface alone")

    def on(self, curve: Curve) -> float:
        """What would be read if the mat cooled along a curve [°C]."""
        if self.how == "infrared":
            return curve.surface_c(self.at_s)
        depth = curve.thickness_m / 2.0 if self.depth_m is None else self.depth_m
        return curve.at(depth, self.at_s)
