"""The fold: any order, split or repetition gives the same shift; step by step as at once."""

from datetime import timedelta
from importlib import resources
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from matbook.book.entry import Entry
from matbook.book.merge import merged
from matbook.book.pen import Pen, ShiftName
from matbook.shift.carry import NOTHING, carry_of
from matbook.shift.facts import Facts, facts_as_known
from matbook.shift.figure import shown
from matbook.shift.view import View, view
from tests.scribe import DAY, SHIFT, Scribe

PLAN = (resources.files("matbook.demo") / "harrow" / "plan.toml").read_text(encoding="utf-8")
NAME = ShiftName.read(SHIFT)
PLACE = {"lane": "E", "lift": "binder", "paver": "P1"}
TOMORROW = "ridge/2026-05-13/a/day"
GHOST = "01890000-0000-7000-8000-0000000000ff"
"""An entry that never arrives."""


def supervisor(plan: str) -> str:
    """The id of a supervisor in the plan."""
    import tomllib

    return str(next(p["id"] for p in tomllib.loads(plan)["people"] if p["role"] == "supervisor"))


BOSS = supervisor(PLAN)


def load(ticket: str, net: str, end: int, **more: str) -> dict[str, Any]:
    body = {
        "plant": "stonewick",
        "ticket": ticket,
        "truck": "21",
        "mix": "ac16",
        "net": net,
        "temp": "141 degC",
        "decision": "taken",
    }
    return {"body": body | more, "place": {**PLACE, "to": f"3+{end:03d}"}}


class Crew:
    """Three devices writing one shift, for as long as the test draws moves for them."""

    def __init__(self) -> None:
        self.scribes = {by: Scribe(f"phone-{by}", by, "ridge") for by in ("ana", "wyn", BOSS)}
        first = self.scribes["ana"].write("plan", {"toml": PLAN}, -60)
        self.entries: list[Entry] = [first]
        start = {**PLACE, "from": "3+000", "to": "3+040"}
        body = load("1", "22.00 t", 40)["body"]
        self.entries.append(self.scribes["ana"].write("load", body, 0, place=start))

    def move(self, what: int, who: int, target: int, value: int, minute: int) -> None:
        by = ("ana", "wyn", BOSS)[who]
        scribe = self.scribes[by]
        old = self.entries[1 + target % (len(self.entries) - 1)] if len(self.entries) > 1 else None
        assert old is not None
        net, end = f"{20 + value / 10:.1f} t", 40 + value
        moves = {
            0: lambda: scribe.write("load", minute=minute, **load(str(value), net, end)),
            1: lambda: scribe.write(
                "load", minute=minute, strikes=old.id, why="misread", **load("9", net, end)
            ),
            2: lambda: scribe.write(
                "note", {"text": "no"}, minute, strikes=old.id, why="entered twice"
            ),
            3: lambda: scribe.write(
                "placed", {"load": old.id, "to": "waste", "mass": f"{value / 10:.1f} t"}, minute
            ),
            4: lambda: scribe.write(
                "width", {"width": "3.80 m"}, minute, place=PLACE | {"station": f"3+{end:03d}"}
            ),
            5: lambda: scribe.write(
                "notice", {"to": ["dale"], "how": "spoken", "text": "t"}, minute
            ),
            6: lambda: scribe.write(
                "reply", {"notice": old.id, "text": "yes", "settles": "yes"}, minute
            ),
            7: lambda: scribe.write(
                "plan",
                {"path": "lifts/binder/spread", "old": "141 kg/m2", "new": f"{130 + value} kg/m2"},
                minute,
                why="agreed",
            ),
            8: lambda: scribe.write(
                "paver", {"event": "stop"}, minute, place=PLACE | {"station": "3+050"}
            ),
            9: lambda: scribe.write("loda", {"x": "1"}, minute),
            10: lambda: scribe.write("load", minute=minute, id=old.id, **load("7", net, end)),
            11: lambda: self.forked(scribe, minute),
            13: lambda: scribe.write(
                "load",
                minute=minute,
                shift=TOMORROW,
                strikes=old.id,
                why="seen next day",
                **load("9", net, end),
            ),
            14: lambda: scribe.write(
                old.kind, dict(old.body), minute, id=old.id, place=dict(old.place)
            ),
            15: lambda: scribe.write("note", {"text": "x"}, minute, strikes=GHOST, why="not here"),
            12: lambda: scribe.write(
                "plan", {"toml": PLAN}, minute, strikes=self.entries[0].id, why="x"
            ),
        }
        self.entries.append(moves[what]())

    def forked(self, scribe: Scribe, minute: int) -> Entry:
        """A clone writes from where the device stood one entry before."""
        pen = scribe.pen
        own = [e for e in self.entries if e.device == pen.device and e.seq == pen.seq - 1]
        clone = Scribe(pen.device, pen.by, "ridge")
        if own:
            clone.pen = Pen(pen.device, pen.by, own[0].seq, own[0].hash)
            return clone.write("note", {"text": "from the clone"}, minute)
        return scribe.write("note", {"text": "alone"}, minute)


moves = st.lists(
    st.tuples(
        st.integers(0, 15),
        st.integers(0, 2),
        st.integers(0, 30),
        st.integers(1, 60),
        st.integers(0, 120),
    ),
    max_size=14,
)


def crew(drawn: list[tuple[int, int, int, int, int]]) -> list[Entry]:
    made = Crew()
    for move in drawn:
        made.move(*move)
    return made.entries


def looked_at(facts: Facts) -> dict[str, Any]:
    """Everything a shift says, as plain data that can be compared."""
    seen: View = view(facts, DAY + timedelta(hours=3), NOTHING)
    carry = carry_of(facts)
    return {
        "states": {entry.hash: facts.state(entry) for entry in facts.entries()},
        "order": [entry.hash for entry in facts.entries()],
        "loads": [(x.key, x.decision, x.net_kg) for x in seen.loads],
        "accounts": [(a.load.key, a.state, round(a.left_kg, 6)) for a in seen.accounts],
        "rows": [
            (r.piece.part.load.key, r.piece.run, shown(r.own.rate.value), r.last is not None)
            for r in seen.rows
        ],
        "calls": [
            (c.id, c.grade, sorted(c.entries), repr(sorted(c.says.items()))) for c in seen.calls
        ],
        "due": [(d.check.id, d.left, d.done) for d in seen.due],
        "matters": [(m.id, m.settled) for m in seen.matters],
        "pavers": [(line.paver, len(line.points), len(line.stops)) for line in seen.pavers],
        "spread": {lift.id: lift.spread_kg_m2 for lift in seen.plan.lifts.values()},
        "troubles": [(e.hash, why) for e, why in facts.plans.troubles],
        "flags": [
            (r.piece.part.fact.id, r.own.rate.flags, len(r.piece.part.load.fact.contenders))
            for r in seen.rows
        ],
        "carry": (carry.tickets, carry.covered, [m.id for m in carry.matters]),
    }


@given(moves, st.randoms(use_true_random=False))
def test_any_order_and_repetition_gives_the_same_shift(drawn: Any, random: Any) -> None:
    entries = crew(drawn)
    shuffled = [*entries, *entries[::3]]
    random.shuffle(shuffled)
    assert looked_at(Facts(NAME, shuffled)) == looked_at(Facts(NAME, entries))


@given(moves, st.randoms(use_true_random=False), st.booleans())
def test_step_by_step_is_the_same_as_from_scratch(drawn: Any, random: Any, look: bool) -> None:
    entries = crew(drawn)
    random.shuffle(entries)
    facts = Facts(NAME)
    for entry in entries:
        facts.add(entry)
        if look and facts.plans.plans:
            looked_at(facts)  # what is remembered on the way must not matter
    assert looked_at(facts) == looked_at(Facts(NAME, entries))


@given(moves, st.integers(0, 15))
def test_any_split_over_two_books_merges_to_the_same(drawn: Any, cut: int) -> None:
    entries = crew(drawn)
    one, other = entries[: cut + 1], entries[cut // 2 :]
    assert looked_at(Facts(NAME, merged(other, one))) == looked_at(Facts(NAME, entries))


def test_entries_of_other_shifts_and_jobs_are_left_alone() -> None:
    facts = Facts(NAME, crew([]))
    assert not facts.add(
        Scribe("phone-2", "wyn", "ridge").write(
            "note", {"text": "x"}, shift="ridge/2026-05-13/a/day"
        )
    )
    assert not facts.add(
        Scribe("phone-2", "wyn", "other").write(
            "note", {"text": "x"}, shift="other/2026-05-12/a/day"
        )
    )
    assert not facts.add(facts.entries()[0])


def test_only_the_writer_or_a_supervisor_strikes() -> None:
    made = Crew()
    target = made.entries[1]
    body = load("1", "23.00 t", 40)["body"]
    place = {**PLACE, "from": "3+000", "to": "3+040"}
    other = made.scribes["wyn"].write("load", body, 5, place=place, strikes=target.id, why="no")
    facts = Facts(NAME, [*made.entries, other])
    assert facts.state(other) == "refused"
    assert [fact.text("net") for fact in facts.of("load")] == ["22.00 t"]
    boss = made.scribes[BOSS].write("load", body, 6, place=place, strikes=target.id, why="scale")
    facts.add(boss)
    assert [fact.text("net") for fact in facts.of("load")] == ["23.00 t"]
    assert facts.current(target.id) == boss.id
    assert facts.current("nobody") == "nobody"


def test_a_contest_spans_the_range_of_all() -> None:
    made = Crew()
    target = made.entries[1]
    for by, net in (("ana", "22.40 t"), (BOSS, "23.00 t")):
        body = load("1", net, 40)["body"]
        made.entries.append(made.scribes[by].write("load", body, 5, strikes=target.id, why="x"))
    fact = Facts(NAME, made.entries).of("load")[0]
    assert fact.spread("net") == (22400.0, 23000.0)
    assert fact.spread("tare") is None


def test_a_strike_waits_for_its_target() -> None:
    made = Crew()
    target, facts = made.entries[1], Facts(NAME, [made.entries[0]])
    body = load("1", "22.40 t", 40)["body"]
    strike = made.scribes["ana"].write("load", body, 5, strikes=target.id, why="x")
    facts.add(strike)
    assert facts.state(strike) == "stands"
    calls = {c.code for c in view(facts, DAY).calls}
    assert "book.strike-waits" in calls
    facts.add(target)
    assert facts.state(target) == "struck"
    assert "book.strike-waits" not in {c.code for c in view(facts, DAY).calls}


def test_a_ring_of_strikes_hides_nothing_and_counts_nothing() -> None:
    scribe = Scribe("phone-9", "ana", "ridge")
    ids = ["01890000-0000-7000-8000-00000000000a", "01890000-0000-7000-8000-00000000000b"]
    ring = [
        scribe.write(
            "load", minute=n, id=ids[n], strikes=ids[1 - n], why="x", **load("5", "22.00 t", 90)
        )
        for n in (0, 1)
    ]
    facts = Facts(NAME, [*crew([]), *ring])
    assert {facts.state(entry) for entry in ring} == {"struck"}
    assert len(facts.of("load")) == 1


def test_the_shift_as_it_was_known_then() -> None:
    made = Crew()
    late = made.scribes["ana"].write("note", {"text": "forgot"}, 5, late=90)
    entries = [*made.entries, late]
    assert not facts_as_known(NAME, entries, DAY + timedelta(minutes=60)).of("note")
    assert facts_as_known(NAME, entries, DAY + timedelta(minutes=96)).of("note")


def test_a_correction_goes_home_to_the_shift_of_what_it_corrects() -> None:
    """Written tomorrow under tomorrow's shift; until its target arrives it waits there."""
    tomorrow = "ridge/2026-05-13/a/day"
    scribe = Scribe("phone-9", "ana", "ridge")
    made = crew([])
    first = scribe.write("note", {"text": "dry"}, 30)
    later = scribe.write(
        "note", {"text": "damp"}, 30, late=1400, shift=tomorrow, strikes=first.id, why="misread"
    )
    here, there = Facts(NAME, made), Facts(ShiftName.read(tomorrow), made)
    assert (here.add(later), there.add(later)) == (False, True)
    assert [fact.text("text") for fact in there.of("note")] == ["damp"]
    assert (here.add(first), there.add(first)) == (True, True)
    assert [fact.text("text") for fact in here.of("note")] == ["damp"]
    assert there.of("note") == []
    assert here.state(first) == "struck"


def test_a_correction_written_next_day_goes_home_to_the_day_it_corrects() -> None:
    made = Crew()
    target, tomorrow = made.entries[1], ShiftName.read(TOMORROW)
    body = load("1", "12.00 t", 40)["body"]
    late = made.scribes["ana"].write(
        "load", body, 900, shift=TOMORROW, strikes=target.id, why="scale slip"
    )
    today, next_day = Facts(NAME, made.entries), Facts(tomorrow, made.entries[:1])
    assert next_day.add(late)
    assert [fact.text("net") for fact in next_day.of("load")] == ["12.00 t"]
    assert next_day.add(target), "it changes something: the correction belongs to the day before"
    assert not next_day.of("load")
    assert today.add(late)
    assert [fact.text("net") for fact in today.of("load")] == ["12.00 t"]
