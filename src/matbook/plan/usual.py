"""What a change of the plan is asked about once: a number far from what jobs of this sort have."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from matbook.engine.units import parse
from matbook.plan.model import Plan
from matbook.plan.quantities import quantities

LIFTS: Final[Mapping[str, tuple[str, str]]] = {
    # field of a lift -> its usual range; common practice, no published source
    "spread": ("20 kg/m2", "400 kg/m2"),
    "budget": ("10 t", "200000 t"),
}


@dataclass(frozen=True, slots=True)
class Usual:
    """The usual range of one value of a plan, and the unit that a bare number there has."""

    low: str
    high: str
    unit: str | None = None

    def holds(self, text: str) -> bool:
        """Whether a value lies within it; raises Refused or UnknownUnit where it is none."""
        value = parse(text, self.unit)
        return all(
            sense * (value.number - parse(end).to(value.unit)) >= 0
            for sense, end in ((1, self.low), (-1, self.high))
        )


def usual_at(plan: Plan, path: str) -> Usual | None:
    """The usual range of the value at a path; None where any value is as usual as another.

    Example:
        >>> from matbook.plan.changes import NO_PLAN
        >>> usual_at(NO_PLAN, "lifts/binder/spread").holds("1150 kg/m2")
        False
    """
    match path.split("/"):
        case ["lifts", _, ("spread" | "budget") as name]:
            return Usual(*LIFTS[name])
        case ["mixes", _, "temperatures", stage, "low" | "high"]:
            return Usual(*quantities()[f"temperature.{stage}"].usual)
        case ["limits", name, "number"]:
            limit = next((one for one in plan.limits if one.id == name), None)
            if limit is not None:
                return Usual(*quantities()[limit.quantity].usual, limit.unit)
    return None
