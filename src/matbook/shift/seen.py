"""What was seen to be wrong with a load or with the mat, and who should hear of it."""

from collections.abc import Iterator

from matbook.plan.model import Plan
from matbook.shift.calls import Call
from matbook.shift.facts import Facts
from matbook.shift.guide import named
from matbook.shift.loads import loads

GRADES = {"slight": "note", "severe": "act"}
"""How a defect's own grade is called; plain, or without one, it is watched."""

USUALLY = ("contractor",)
"""Who hears of what the guide doesn't know; common practice, no published source."""


def calls(facts: Facts) -> Iterator[Call]:
    """A call for each defect, and for each load with signs noted; of one turned away a note."""
    for fact in facts.of("defect"):
        extent = fact.text("extent")
        says = {
            "sign": fact.text("sign"),
            "station": fact.place("station") or fact.place("from"),
            "extent": f", {extent}" if extent else "",
        }
        tell = _tell(facts.plan_at(fact.at), fact.text("sign"))
        grade = GRADES.get(fact.text("grade"), "watch")
        yield Call("seen.mat", fact.id, grade, fact.at, says, None, tell, (fact.id,))
    for load in loads(facts):
        signs = [str(one) for one in load.fact.body.get("signs", ())]
        if signs:
            says = {"load": load.label, "sign": ", ".join(signs), "decision": load.decision}
            tell = _tell(facts.plan_at(load.at), *signs)
            grade = "watch" if load.counts else "note"
            yield Call("seen.load", load.id, grade, load.at, says, None, tell, load.ids)


def _tell(plan: Plan, *written: str) -> tuple[str, ...]:
    """Whom the guide would tell of any of these; of words that it doesn't know, the usual ones."""
    known = [sign for one in written if (sign := named(one)) is not None]
    if known:
        return tuple(dict.fromkeys(one.id for sign in known for one in sign.people(plan)))
    return tuple(one.id for one in plan.people.values() if one.role in USUALLY)
