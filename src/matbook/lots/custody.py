"""Chain of custody: through whose hands a core or sample went, and where the chain has a gap."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from matbook.lots.work import Work
from matbook.shift.facts import Fact

STEPS: Final = ("cut", "sealed", "handed over", "received")
"""In the order in which they must follow one another."""

State = Literal["whole", "open", "broken"]


@dataclass(frozen=True, slots=True)
class Custody:
    """What is written of the way of one core or sample to its test."""

    name: str
    steps: Mapping[str, Fact]
    """Step -> the entry that tells of it; the core's own is that of the cut."""
    tested: Fact | None = None
    """The first result of it, where there is one."""

    @property
    def missing(self) -> tuple[str, ...]:
        """Steps that nobody wrote of."""
        return tuple(step for step in STEPS if step not in self.steps)

    @property
    def gaps(self) -> tuple[str, ...]:
        """Steps that are missing although a later one, or a result, is there."""
        reached = [n for n, step in enumerate(STEPS) if step in self.steps]
        end = len(STEPS) if self.tested else max(reached, default=0)
        return tuple(step for step in STEPS[:end] if step not in self.steps)

    @property
    def backwards(self) -> bool:
        """Whether a step was before the one that it must follow."""
        known = [self.steps[step].at for step in STEPS if step in self.steps]
        return any(after < before for before, after in pairwise(known))

    @property
    def seals(self) -> tuple[str, ...]:
        """The seals that the steps name; more than one is another seal than was put on."""
        named = (self.steps[step].text("seal") for step in STEPS if step in self.steps)
        return tuple(dict.fromkeys(seal for seal in named if seal))

    @property
    def fault(self) -> str:
        """What is wrong with it: a step that is missing, backwards, or seals; empty for nothing."""
        if self.gaps:
            return self.gaps[0]
        if self.backwards:
            return "backwards"
        return "seals" if len(self.seals) > 1 else ""

    @property
    def state(self) -> State:
        if self.fault:
            return "broken"
        return "open" if self.missing else "whole"

    @property
    def entries(self) -> tuple[str, ...]:
        """Everything that it is made from."""
        found = [*self.steps.values(), *([self.tested] if self.tested else [])]
        return tuple(dict.fromkeys(fact.id for fact in found))

    @property
    def latest(self) -> Fact:
        """The last of it, by when it happened."""
        return max((*self.steps.values(), *filter(None, [self.tested])), key=lambda one: one.order)


def custodies(work: Work) -> Mapping[str, Custody]:
    """The custody of every core and sample that the job has, by its name."""
    steps: dict[str, dict[str, Fact]] = {}
    for kind in ("core", "sample"):
        for _, fact in work.of(kind):
            steps.setdefault(fact.text(kind), {}).setdefault("cut", fact)
    for _, fact in work.of("custody"):
        own = steps.setdefault(fact.text("sample"), {})
        if fact.text("step") == "cut":
            own["cut"] = fact
        else:
            own.setdefault(fact.text("step"), fact)
    tested: dict[str, Fact] = {}
    for _, fact in work.of("test-result"):
        tested.setdefault(fact.text("sample"), fact)
    return {name: Custody(name, own, tested.get(name)) for name, own in steps.items()}
