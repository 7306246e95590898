"""What does it look like: signs of a load and defects of the mat, each with a plain drawing.

What you see, what may have caused it and what to check first are sentences in `words`; who should
hear of it and how it is drawn are in `guide.toml`. It names no cause: several are possible.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Final

from matbook.plan.model import Person, Plan
from matbook.words import has, languages, say

CAUSES: Final = ("mix", "equipment", "base")
"""Where a cause may lie."""

GROUNDS: Final[Mapping[str, str]] = {
    "load": '<path class="heavy" d="M12 46L19 84H141L148 46"/>'
    '<path class="solid" d="M38 86a8 8 0 1 0 16 0M96 86a8 8 0 1 0 16 0M118 86a8 8 0 1 0 16 0"/>',
    "mat": '<path class="heavy" d="M4 20H140M4 80H140"/>'
    '<path class="solid" d="M141 12H149V88H141zM151 42l7 8-7 8z"/>',
    "side": '<path class="heavy" d="M4 80H156"/>'
    '<path d="M14 80l-8 8M38 80l-8 8M62 80l-8 8M86 80l-8 8M110 80l-8 8M134 80l-8 8"/>',
}
"""What signs are drawn on: a truck's bed, the mat from above with the screed, the mat cut open."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One thing that may be seen."""

    id: str
    of: str
    """On what: load or mat."""
    tell: tuple[str, ...]
    """Roles of the people who should hear of it."""
    seen: str = ""
    """`side` where the mat is drawn cut open; from above by itself."""
    lines: str = ""
    dots: str = ""
    solid: str = ""

    def name(self, language: str = "en") -> str:
        """What it is called."""
        return say(f"guide.{self.id}", language)

    def causes(self) -> tuple[str, ...]:
        """Where causes may lie: in the mix, the equipment, the base."""
        return tuple(one for one in CAUSES if has(f"guide.{self.id}.{one}"))

    def people(self, plan: Plan) -> tuple[Person, ...]:
        """Those of the plan who should hear of it."""
        people = plan.people.values()
        return tuple(one for role in self.tell for one in people if one.role == role)

    def drawing(self) -> str:
        """Its drawing as SVG, in the colour of the text around it."""
        parts = (
            f'<path class="{name}" d="{path}"/>'
            for name, path in (("lines", self.lines), ("dots", self.dots), ("solid", self.solid))
            if path
        )
        ground = GROUNDS[self.seen or self.of]
        return f'<svg viewBox="0 0 160 100" aria-hidden="true">{ground}{"".join(parts)}</svg>'


@cache
def guide() -> Mapping[str, Sign]:
    """Every sign by its id, those of a load first.

    Example:
        >>> guide()["steam"].of, guide()["steam"].causes()
        ('load', ('mix', 'equipment'))
    """
    text = (resources.files(__package__) / "guide.toml").read_text(encoding="utf-8")
    return {
        name: Sign(id=name, **{**row, "tell": tuple(row["tell"])})
        for name, row in tomllib.loads(text).items()
    }


@cache
def _names() -> Mapping[str, Sign]:
    return {
        sign.name(language).casefold(): sign
        for language in languages()
        for sign in guide().values()
    }


def named(written: str) -> Sign | None:
    """The sign that somebody wrote, in whatever language; None for words of their own.

    Example:
        >>> named("Vapor blanco, burbujeo").id
        'steam'
        >>> named("odd") is None
        True
    """
    return _names().get(written.strip().casefold())
