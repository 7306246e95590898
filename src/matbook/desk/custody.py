"""Chains of custody in words: each step with who and when, and what is missing."""

from matbook.desk.asking import Asked
from matbook.lots.custody import STEPS, Custody

SHAPES = {"whole": "fine", "open": "unknown", "broken": "watch"}
"""State of a chain -> the shape that it is shown with."""


def custody_state(asked: Asked, chain: Custody) -> str:
    """Whether a chain is whole, what it waits for, or where it is broken."""
    if chain.state == "broken":
        return asked.say(f"custody.why.{chain.fault}")
    if chain.state == "whole":
        return asked.say("custody.whole")
    missing = ", ".join(asked.say(f"choice.{step}") for step in chain.missing)
    return asked.say("custody.waits", steps=missing)


def custody_steps(asked: Asked, chain: Custody) -> str:
    """The steps of a chain in one line, each with its moment, its seal, and who wrote of it."""
    said = []
    for step in STEPS:
        fact = chain.steps.get(step)
        if fact is None:
            continue
        who, to = asked.person(fact.entry.by), asked.person(fact.text("to"))
        more = [who, f"→ {to}" if to else "", fact.text("seal")]
        at = f"{asked.local(fact.at):%Y-%m-%d %H:%M}"
        taken = fact.entry.kind == "sample"
        named = asked.say("custody.taken" if taken else f"choice.{step}")
        said.append(f"{named} {at}, {', '.join(filter(None, more))}")
    return "; ".join(said)


def custody_line(asked: Asked, chain: Custody) -> str:
    """A core or sample, the state of its chain, and its steps."""
    state, steps = custody_state(asked, chain), custody_steps(asked, chain)
    return asked.say("custody.line", sample=chain.name, state=state, steps=steps)
