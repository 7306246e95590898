"""How a lot's places were drawn: committed, contributed to, revealed; and whether it fits."""

from dataclasses import dataclass
from typing import Final

from matbook.engine.sampling import reveal
from matbook.errors import MatbookError
from matbook.lots.work import Work
from matbook.shift.facts import Fact

TOLD: Final = ("committed", "contributed", "revealed")
"""Steps that everybody may see; places are told when something was tested there."""


@dataclass(frozen=True, slots=True)
class Trail:
    """The steps of a lot's draw that everybody may see."""

    steps: tuple[Fact, ...]
    seed: str = ""
    """The seed of the draws, once the owner's number is revealed and fits its commitment."""
    why: str = ""
    """Why it doesn't fit, as a sentence."""


def trail(work: Work, lot: str) -> Trail:
    """How the places of a lot were drawn, as far as that is told."""
    steps = [
        fact for _, fact in work.of("draw") if fact.text("lot") == lot and fact.text("step") in TOLD
    ]
    numbers = {fact.text("step"): fact.text("number") for fact in reversed(steps)}
    if len(numbers) < len(TOLD):
        return Trail(tuple(steps))
    try:
        seed = reveal(numbers["committed"], numbers["revealed"], numbers["contributed"])
    except MatbookError as error:
        return Trail(tuple(steps), why=str(error))
    return Trail(tuple(steps), seed)
