"""Calls become sentences: a number that leads, what it means, and a small line behind it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from matbook.plan.model import Check, Checklist, Limit, Plan
from matbook.shift.calls import Call
from matbook.shift.display import Display, fixed, minutes, sign
from matbook.shift.due import Due
from matbook.words import has, say


@dataclass(frozen=True, slots=True)
class Spoken:
    """A call as a person reads it."""

    head: str
    line: str
    small: str


def spoken(call: Call, plan: Plan, now: datetime, language: str = "en") -> Spoken:
    """A call in words, in the job's units, with its age."""
    words = ageless(call, plan, language)
    return replace(words, small=aged(words, call, now, language))


def ageless(call: Call, plan: Plan, language: str = "en") -> Spoken:
    """A call in words as long as it says the same."""
    arguments = _arguments(call, plan, language)
    line = say(f"call.{call.code}.line", language, **arguments)
    limit = limit_words(call.limit, language) if call.limit else ""
    small = [limit] if limit not in line else []
    if call.says.get("low") is not None:
        small.append(say("small.range", language, **arguments))
    return Spoken(say(f"call.{call.code}", language, **arguments), line, " · ".join(small))


def aged(words: Spoken, call: Call, now: datetime, language: str = "en") -> str:
    """The small line of a call, with how long ago it was seen."""
    age = say("small.age", language, age=minutes(max(now - call.at, timedelta())))
    return f"{words.small} · {age}" if words.small else age


def observed(call: Call, plan: Plan, language: str = "en") -> str:
    """What was seen, as somebody else is told it: without what only its observer should do."""
    own = f"draft.{call.code}"
    code = own if has(own, language) else f"call.{call.code}.line"
    return say(code, language, **_arguments(call, plan, language))


def limit_words(limit: Limit, language: str = "en") -> str:
    """A limit as printed, with its clause: “at least 115 °C (4.3)”."""
    words = say(f"limit.{limit.side}", language, number=limit.number, unit=sign(limit.unit))
    return f"{words.strip()} ({limit.clause})" if limit.clause else words.strip()


def quantity_words(quantity: str, language: str = "en") -> str:
    """The name of what a limit or a reading speaks of."""
    return say(f"quantity.{quantity}", language)


def _arguments(call: Call, plan: Plan, language: str) -> dict[str, str]:
    display, says = Display(plan.job.units), call.says
    found = {
        name: _argument(plan, display, name, value, says, language) for name, value in says.items()
    }
    for name, (argument, code) in WHERE_KNOWN.items():
        if argument in found:
            found[name] = say(code, language, **found) if found[argument] else ""
    if call.limit is not None:
        found["limit"] = limit_words(call.limit, language)
    if "pct" in call.says:
        pct = float(str(call.says["pct"]))
        found["over"] = say("over" if pct >= 0 else "under", language)
        found["pct"] = fixed(abs(pct), 1)
    if "side" in call.says and "by" in call.says:
        beyond = float(str(call.says["by"]))
        side = call.says["side"] if call.says["side"] != "within" else "max"
        found["beyond"] = say(f"beyond.{side}", language)
        unit = call.limit.unit if call.limit else ""
        found["by"] = f"{_by(call, abs(beyond))} {sign(unit)}".rstrip()
    return found


def _by(call: Call, beyond: float) -> str:
    """How far beyond a limit at the digits it prints; at one more where that would be nothing."""
    number = call.limit.number if call.limit else "0"
    digits = len(number.partition(".")[2])
    text = fixed(beyond, digits)
    return text if any(digit in text for digit in "123456789") else fixed(beyond, digits + 1)


def _argument(
    plan: Plan,
    display: Display,
    name: str,
    value: object,
    says: Mapping[str, object],
    language: str,
) -> str:
    if name in NAMED:
        ids = value if isinstance(value, list) else [value]
        return ", ".join(NAMED[name](plan, str(one)) for one in ids)
    if value is None or isinstance(value, str):
        text = "" if value is None else value
        code = f"{CHOICES[name]}.{text}" if name in CHOICES else ""
        return say(code, language) if code and has(code, language) else text
    number = value if isinstance(value, float) else float(str(value))
    if name == "value":
        return _value(display, number, says)
    if name == "target":
        return display.of(str(says["quantity"]), number)
    if name == "minutes":
        return minutes(timedelta(minutes=number))
    if name == "metres":
        return display.show("length", number, 0)
    if name in ("drift", "drift_low", "drift_high"):
        return display.drift(number)
    if name == "difference_k":
        return display.apart("temperature", number)
    if name in MEASURES:
        return display.show(MEASURES[name], number)
    if name in ("low", "high", "pct"):
        return fixed(number, 1)
    if name == "by" and "per" in says:
        return amount(display, str(says["per"]), number, language)
    return fixed(number, 0).replace("\u202f", "")


def _value(display: Display, number: float, says: Mapping[str, object]) -> str:
    if "quantity" in says:
        return display.of(str(says["quantity"]), number)
    if says["unit"] == "degC":
        return display.show("temperature", number)
    return f"{fixed(number, 0)} {says['unit']}"


def due_words(due: Due, display: Display, language: str = "en") -> str:
    """How much is left until a check is due; of one at events, whether its event has come."""
    if due.left is not None and due.left <= 0:
        return say("answer.due.now", language)
    if due.check.at:
        return say("due.seen", language) if due.last else at_events(due.check, language)
    return "—" if due.left is None else amount(display, due.check.per, due.left, language)


def at_events(check: Check | Checklist, language: str = "en") -> str:
    """When a check or a list at events falls due: “at the start, after a stop”."""
    return ", ".join(say(f"event.{one}", language) for one in check.at)


def done_words(due: Due, language: str = "en") -> str:
    """How often a check was done; of a checklist, how many of its lines were looked at."""
    if due.lines is None:
        return str(due.done)
    return say("due.lines", language, n=due.done, all=due.lines)


def amount(display: Display, per: str, number: float, language: str = "en") -> str:
    """An amount of what a check counts by: loads, time, mass or distance."""
    if per == "loads":
        return say("count.loads", language, n=fixed(number, 0))
    if per == "time":
        return minutes(timedelta(seconds=number))
    return display.show("mass" if per == "mass" else "length", number, 0)


WHERE_KNOWN: Final[Mapping[str, tuple[str, str]]] = {
    "at": ("station", "at.station"),
    "of_mix": ("mix", "mix.named"),
    "versions_told": ("versions", "versions.told"),
    "thickness": ("thickness_m", "thickness.if-even"),
    "of_step": ("step_m", "of.step"),
    "with_note": ("note", "note.with"),
    "and_more": ("rest", "more.items"),
}
"""Parts of a sentence that fall away where what they tell of isn't known."""

CHOICES: Final[Mapping[str, str]] = {
    "reason": "stop",
    "way": "way",
    "quantity": "quantity",
    "decision": "decision",
    "missing": "missing",
    "field": "field",
    "first": "field",
    "what": "named",
    "kind": "kind",
    "role": "role",
    "state": "choice",
    "step": "choice",
    "lot_state": "lot.state",
    "thing": "gauge.near",
    "custody_why": "custody.why",
}
"""Arguments that are choices, and the family of sentences that words them."""


def _person(plan: Plan, name: str) -> str:
    return plan.people[name].name if name in plan.people else name


NAMED: Final[Mapping[str, Callable[[Plan, str], str]]] = {
    "who": _person,
    "to": _person,
    "plant": lambda plan, name: plan.plants[name].name if name in plan.plants else name,
    "mix": lambda plan, name: plan.mixes[name].name if name in plan.mixes else name,
    "of_mix": lambda plan, name: f", {plan.mixes[name].name}" if name in plan.mixes else "",
    "wanted": lambda plan, name: plan.mixes[name].name if name in plan.mixes else name,
    "paver": lambda plan, name: plan.pavers[name].name if name in plan.pavers else name,
}
"""Arguments that are ids in the plan, and how they are named."""

MEASURES: Final[Mapping[str, str]] = {
    "read": "temperature",
    "expected": "temperature",
    "other": "temperature",
    "base": "temperature",
    "kg": "load",
    "gross_kg": "load",
    "legal_kg": "load",
    "tare_kg": "load",
    "theirs_kg": "load",
    "ours_kg": "load",
    "thickness_m": "thickness",
    "step_m": "thickness",
    "length_m": "length",
    "pace": "pace",
    "rolled": "pace",
    "marks_c": "temperature",
    "litres_m3": "volume",
    "depth_m": "thickness",
    "wanted_m": "thickness",
}
"""Arguments that are measured, and how they are shown."""
