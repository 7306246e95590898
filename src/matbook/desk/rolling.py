"""Rolling in words: what each phase asks of its rollers, and what is rolled first where."""

from typing import Any

from matbook.desk.asking import Asked
from matbook.plan.model import Order, Phase
from matbook.shift.display import Display
from matbook.shift.rolling import Keeping, density_phases, lacking, planned_pace
from matbook.words import say


def rolling(asked: Asked, lane: str, lift: str) -> list[dict[str, Any]]:
    """A line for every phase that makes density, each with the figure that it opens to."""
    strip = f"{lane}/{lift}"
    kept = asked.view.kept.get(strip, ())
    if kept:
        return [
            {
                "words": phase_words(asked.display, one, asked.words),
                "figure": f"rolling.asked/{strip}/{one.work.phase.id}",
            }
            for one in kept
        ]
    held = asked.plan.lifts.get(lift)
    return [
        {"words": lacks_words(asked, phase), "figure": None}
        for phase in density_phases(asked.plan, held.mix if held else "")
    ]


def phase_words(display: Display, one: Keeping, language: str) -> str:
    """Rollers, lanes and passes of a phase, the pace that they can follow, how many it takes."""
    words = {
        "phase": one.work.phase.name,
        "rollers": one.work.rollers,
        "lanes": one.work.lanes.value,
        "passes": one.work.passes.value,
        "rolled": display.show("pace", one.work.rolled.value),
        "needed": one.needed.value,
        "pace": display.show("pace", one.pace_m_s),
    }
    said = say("rolling.phase", language, **words)
    if one.chance is None:
        return said
    return f"{said} · {say('rolling.chance', language, chance=f'{100 * one.chance.value:.0f}')}"


def lacks_words(asked: Asked, phase: Phase) -> str:
    """What the plan would have to say for the rollers of a phase to be reckoned with."""
    missing = [asked.say(f"rolling.lacks.{one}") for one in lacking(asked.plan, phase)]
    if not missing and planned_pace(asked.plan) is None:
        missing = [asked.say("rolling.lacks.pace")]
    if not missing:
        return asked.say("rolling.no-mat", phase=phase.name)
    return asked.say("rolling.lacking", phase=phase.name, what=", ".join(missing))


def orders(asked: Asked) -> list[str]:
    """What is rolled first at joints, edges and on slopes, by the plan."""
    return [order_words(one, asked.display, asked.words) for one in asked.plan.orders]


def order_words(order: Order, display: Display, language: str) -> str:
    """One rule of what is rolled first."""
    reach = [
        say(f"order.{code}", language, length=display.show("gap", length))
        for code, length in (("laps", order.laps_m), ("keeps-off", order.keeps_off_m))
        if length is not None
    ]
    clause = order.clause or order.source
    return say(
        "order.said",
        language,
        where=say(f"order.where.{order.where}", language),
        first=say(f"order.first.{order.first}", language),
        reach="".join(reach),
        clause=say("order.clause", language, clause=clause) if clause else "",
    )
