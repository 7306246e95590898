"""Rollers: their usual speeds and the other figures of rolling, each with its source.

None of them is a limit until a plan says so: the owner's specification and the mix documents rule.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from matbook.engine.units import convert
from matbook.errors import Refused

HANDBOOK: Final = "Hot-Mix Asphalt Paving Handbook 2000, compaction section"
TABLE: Final = "Hot-Mix Asphalt Paving Handbook 2000, Table 18-1"
SCHEROCMAN: Final = "Scherocman, Roads & Bridges, December 2000, part II"
ARMY: Final = "US Army correspondence course EN5459"

Standing = Literal["read", "from memory", "assumed"]


@dataclass(frozen=True, slots=True)
class Usual:
    """A figure as its source gives it; least is 0 where the source gives only a most."""

    least: float
    most: float
    unit: str
    source: str
    standing: Standing

    def si(self) -> tuple[float, float]:
        """Least and most in the SI unit of what is measured."""
        unit = SI[self.unit]
        return convert(self.least, self.unit, unit), convert(self.most, self.unit, unit)


SI: Final[Mapping[str, str]] = {
    "mph": "m/s",
    "1/ft": "1/m",
    "mm": "m",
    "degF": "degC",
    "kg/m3": "kg/m3",
    "%": "1",
}

SPEEDS: Final[Mapping[tuple[str, str], Usual]] = {
    ("static steel", "all"): Usual(2.0, 5.0, "mph", HANDBOOK, "read"),
    ("pneumatic", "all"): Usual(2.0, 7.0, "mph", HANDBOOK, "read"),
    ("vibratory", "all"): Usual(2.0, 3.5, "mph", HANDBOOK, "read"),
    ("static steel", "breakdown"): Usual(2.0, 3.5, "mph", TABLE, "from memory"),
    ("static steel", "intermediate"): Usual(2.5, 4.0, "mph", TABLE, "from memory"),
    ("static steel", "finish"): Usual(3.0, 5.0, "mph", TABLE, "from memory"),
    ("pneumatic", "breakdown"): Usual(2.0, 3.5, "mph", TABLE, "from memory"),
    ("pneumatic", "intermediate"): Usual(2.5, 4.0, "mph", TABLE, "from memory"),
    ("pneumatic", "finish"): Usual(4.0, 7.0, "mph", TABLE, "from memory"),
    ("vibratory", "breakdown"): Usual(2.0, 3.0, "mph", TABLE, "from memory"),
    ("vibratory", "intermediate"): Usual(2.5, 3.5, "mph", TABLE, "from memory"),
    ("static steel", "most"): Usual(0.0, 2.5, "mph", SCHEROCMAN, "read"),
    ("vibratory at 2,400 vpm", "most"): Usual(0.0, 2.5, "mph", SCHEROCMAN, "read"),
    ("vibratory at 3,600 vpm", "most"): Usual(0.0, 4.0, "mph", SCHEROCMAN, "read"),
    ("pneumatic", "most"): Usual(0.0, 4.0, "mph", SCHEROCMAN, "read"),
    ("any", "most"): Usual(0.0, 3.0, "mph", ARMY, "read"),
}
"""Speeds by roller and phase: lower end in breakdown, near the upper end in finish rolling."""

FIGURES: Final[Mapping[str, Usual]] = {
    "impacts": Usual(10.0, 10.0, "1/ft", "Iowa DOT Construction Manual 8.70, at least", "read"),
    "impacts, often asked": Usual(
        10.0, 14.0, "1/ft", "common practice, no published source", "from memory"
    ),
    "overlap": Usual(150.0, 300.0, "mm", "common practice, no published source", "from memory"),
    "efficiency": Usual(75.0, 85.0, "%", "common practice, no published source", "from memory"),
    "cessation": Usual(175.0, 175.0, "degF", "WSDOT text of Everett WA, 5-04.3", "read"),
    "gauge repeatability": Usual(8.0, 8.0, "kg/m3", "no published source", "assumed"),
}
"""Other usual figures; a stiff or modified binder stops compacting warmer, a warm mix cooler."""


def usual_speed(roller: str, phase: str = "all") -> Usual:
    """Usual speeds of a kind of roller in a phase of rolling.

    Args:
        roller: Kind of roller, such as vibratory or pneumatic.
        phase: Phase of rolling: breakdown, intermediate or finish; all over the phases; most where
            a source gives only a most.

    Returns:
        The speeds as the source gives them, with the source.

    Raises:
        Refused: No source speaks of that roller in that phase.

    Source: Hot-Mix Asphalt Paving Handbook 2000, its Table 18-1 from memory; Scherocman 2000;
    US Army EN5459. Each row names its own.

    Example:
        >>> usual_speed("vibratory", "breakdown").most
        3.0
    """
    if (roller, phase) not in SPEEDS:
        known = "; ".join(f"{kind}, {part}" for kind, part in SPEEDS)
        raise Refused("roller", f"{roller}, {phase}", f"there are speeds for {known}")
    return SPEEDS[roller, phase]
