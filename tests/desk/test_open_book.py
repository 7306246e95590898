"""An open book: entries in any order and any portions, the same answers as from scratch."""

import json
from datetime import UTC
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from matbook.book.entry import Entry
from matbook.desk.job import JobBook
from matbook.desk.open_book import QUESTIONS, OpenBook
from matbook.desk.roles import views_for
from matbook.errors import MatbookError, NotFound, Refused
from tests.desk.asked import ask, busy, demo_book, opened, pairs
from tests.scribe import SHIFT, Scribe
from tests.shift.site import NEXT, PLAN, Site, clock, on

DAY = 24 * 60
MORE = {"entry", "figure", "judge", "lot", "tell", "ahead", "mat_at", "trucks"}
MORE |= {"schedule", "risk", "draw"}
PLAIN = sorted(set(QUESTIONS) - MORE)
"""Questions that need no more than the common arguments."""


# Adding


def test_a_receipt_for_every_pair() -> None:
    site = busy()
    book = OpenBook("ridge")
    first, *rest = pairs(site.entries)
    assert book.add([first]) == [{"hash": first[0], "state": "kept", "reason": ""}]
    assert {r["state"] for r in book.add(rest)} == {"kept"}
    assert book.add([first, first])[1] == {"hash": first[0], "state": "had", "reason": ""}


def test_what_is_no_entry_of_this_job_is_refused_with_its_reason() -> None:
    other = Scribe(job="harrow").write("note", {"text": "x"}, shift="harrow/2026-05-12/a/day")
    good = Site().entries[0]
    book = OpenBook("ridge")
    said = book.add([(other.hash, other.text), ("0" * 64, good.text), (good.hash, good.text)])
    assert [r["state"] for r in said] == ["refused", "refused", "kept"]
    assert "job “harrow”" in said[0]["reason"]
    assert "changed after it was written" in said[1]["reason"]


def two_days() -> list[Entry]:
    """Two shifts with a late ticket, a strike across the days, a plan change and a late shift."""
    site = busy()
    site.write("shift-close", {}, 600)
    first = site.load("108", DAY, place=on("E", "binder", end=400), shift=NEXT)
    site.load("110", DAY + 10, place=on("E", "binder", end=450), shift=NEXT)
    struck = next(e for e in site.entries if e.kind == "loose-depth")
    site.write("loose-depth", {"depth": "70 mm"}, DAY + 20, place=dict(struck.place),
               strikes=struck.id, why="misread", shift=NEXT)  # fmt: skip
    site.write("note", {"text": "twice"}, DAY + 30, strikes=first.id, why="twice")
    site.write("plan", {"path": "lifts/binder/spread", "old": "120 kg/m2", "new": "118 kg/m2",
                        "agreed": "Cole"}, 30, by="greta")  # fmt: skip
    site.write("shift-open", {}, 700, shift="ridge/2026-05-12/a/night")
    return site.entries


WHOLE = two_days()


def answers(book: OpenBook, questions: Any = PLAIN) -> str:
    """Everything that a book says of all its shifts."""
    said = {
        f"{shift} {question}": book.ask(question, {"shift": shift})
        for shift in book.shifts()
        for question in questions
    }
    return json.dumps(said, sort_keys=True, ensure_ascii=False)


def from_scratch(entries: list[Entry]) -> OpenBook:
    book = OpenBook("ridge")
    book.add(pairs(entries))
    return book


@cache
def scratch() -> str:
    return answers(from_scratch(WHOLE))


@settings(max_examples=8, deadline=None)
@given(st.data())
def test_any_order_and_any_portions_give_the_answers_of_reading_from_scratch(
    data: st.DataObject,
) -> None:
    left = data.draw(st.permutations(WHOLE))
    book = OpenBook("ridge")
    while left:
        count = data.draw(st.integers(1, len(left)))
        book.add(pairs(left[:count]))
        left = left[count:]
        for shift in data.draw(st.lists(st.sampled_from(book.shifts() or [SHIFT]), max_size=2)):
            if shift in book.shifts():
                book.ask("now", {"shift": shift})
    assert answers(book) == scratch()


def test_every_entry_added_alone_gives_the_answers_of_reading_from_scratch() -> None:
    book = OpenBook("ridge")
    for n, pair in enumerate(pairs(WHOLE), 1):
        book.add([pair])
        if book.shifts():
            assert answers(book, ["now"]) == answers(from_scratch(WHOLE[:n]), ["now"])
    assert answers(book) == scratch()


def test_an_earlier_shift_changes_what_later_ones_begin_with_and_no_more() -> None:
    held = [e for e in WHOLE if e.kind != "plan" or "toml" in e.body]
    late = [e for e in held if e.body.get("ticket") == "105"]
    book = JobBook([e for e in held if e not in late])
    book.carry_to(NEXT)
    night = book.carry_to("ridge/2026-05-12/a/night")
    facts = book.facts(NEXT)
    assert book.carry_to("ridge/2026-05-12/a/night") is night
    assert book.add([held[-1]]) == []
    book.add(late)
    assert book.facts(NEXT) is facts, "the later shift is not read again"
    assert book.carry_to("ridge/2026-05-12/a/night") is not night
    before = book.carry_to("ridge/2026-05-12/a/night")
    more = Scribe("phone-9", "ana").write("note", {"text": "x"}, DAY, shift=NEXT)
    book.add([more])
    assert book.carry_to("ridge/2026-05-12/a/night") is before, "earlier shifts stay"


def test_many_entries_at_once_read_as_one_by_one() -> None:
    scribe = Scribe("phone-7", "ana")
    notes = [scribe.write("note", {"text": f"n{n}"}, n / 10) for n in range(300)]
    one = from_scratch([*Site().entries, *notes])
    other = from_scratch(Site().entries)
    for note in reversed(notes):
        other.add(pairs([note]))
    assert answers(one, ["entries", "now"]) == answers(other, ["entries", "now"])


# Asking


@pytest.mark.parametrize("question", PLAIN)
@pytest.mark.parametrize("language", ["en", "es", "fr"])
def test_every_question_is_answered_with_plain_data(question: str, language: str) -> None:
    for name in ("harrow", "kestrel"):
        said = demo_book(name).ask(question, {"language": language})
        assert json.loads(json.dumps(said)) == said


@pytest.mark.parametrize("question", PLAIN)
def test_every_question_is_answered_where_there_is_no_plan(question: str) -> None:
    site = Site("")
    site.write("note", {"text": "no plan"}, 0)
    site.load("101", 5, place=on("E", "binder", 0, 50), temp="140 degC")
    said = opened(site).ask(question, {})
    assert json.loads(json.dumps(said)) == said


@pytest.mark.parametrize("question", sorted(QUESTIONS))
def test_a_book_without_a_shift_says_so_or_answers(question: str) -> None:
    """Forms, the plan and what is typed need no shift; all else is refused in a sentence."""
    book = opened(Site())
    given = {"kind": "load", "body": {"ticket": "1", "plant": "north"}, "place": {}}
    if question == "ahead":  # asked before a shift; it wants a weather and a place
        with pytest.raises(Refused, match="a time such as"):
            book.ask(question, given)
    elif question == "trucks":  # asked before a shift too; it wants to know for how long
        with pytest.raises(Refused, match="it is needed: a"):
            book.ask(question, given)
    elif question == "draws":  # the plan has no lots
        assert book.ask(question, given) == []
    elif question in ("schedule", "risk", "draw"):
        with pytest.raises(NotFound, match=r"no pay schedule “”|no lots “”"):
            book.ask(question, given)
    elif question in ("kinds", "plan", "judge", "next_load", "last_load", "guide", "lists",
                      "schedules"):  # fmt: skip
        assert book.ask(question, given)
    else:
        with pytest.raises(NotFound, match=r"no shift yet|no picture of the shift"):
            book.ask(question, given)


@pytest.mark.parametrize(
    ("question", "arguments", "says"),
    [
        ("nonsense", {}, "no question “nonsense”"),
        ("now", {"language": "xx"}, "it must be one of en, es, fr"),
        ("now", {"shift": "ridge/2020-01-01/a/day"}, "There is no shift"),
        ("now", {"at": "yesterday"}, "it must be a date and time"),
        ("now", {"shift": 5}, "it must be text"),
        ("now", {"role": "king"}, "role of king"),
        ("close", {"role": "contractor"}, "role of contractor"),
        ("entry", {"id": "nothing"}, "no entry “nothing”"),
        ("entry", {}, "no entry"),
        ("figure", {"name": "x"}, "no figure “x”"),
        ("tell", {"call": "x:y"}, "no call “x:y”"),
        ("judge", {"kind": "x"}, "no kind of entry"),
        ("judge", {"kind": "load", "body": "x"}, "it must be an object"),
    ],
)
def test_what_cannot_be_answered_is_said_in_a_sentence(
    question: str, arguments: dict[str, Any], says: str
) -> None:
    with pytest.raises(MatbookError, match=says):
        opened(busy()).ask(question, arguments)


def test_the_roles_tables_know_every_question() -> None:
    assert views_for("supervisor") == QUESTIONS.keys()


# The moment


@pytest.mark.parametrize(
    ("at", "seen"),
    [
        (None, 82),
        ("now", 82),
        (clock(90).isoformat(), 90),
        (clock(90).astimezone(UTC).isoformat().replace("+00:00", "Z"), 90),
        (clock(82 + 13 * 60).isoformat(), 82),
    ],
    ids=["not said", "now", "with its offset", "of another zone", "long after"],
)
def test_a_shift_is_seen_at_the_moment_asked_for(at: str | None, seen: float) -> None:
    assert ask(busy(), "now", None, at=at)["at"] == clock(seen).isoformat()


def test_a_closed_shift_is_seen_as_it_stood_at_its_end() -> None:
    site = busy()
    site.write("shift-close", {}, 200)
    said = ask(site, "now", 300)
    assert (said["at"], said["closed"], said["sealed"]) == (clock(200).isoformat(), True, False)


def test_a_book_as_it_was_known() -> None:
    book = JobBook(busy().entries)
    known = book.as_known(clock(12))
    assert known.shifts == [SHIFT]
    tickets = [row["ticket"] for row in OpenBook("ridge", known).ask("loads", {})]
    assert tickets == ["101", "102"]
    nothing = book.as_known(clock(-100))
    assert not nothing.wrote(SHIFT)
    assert OpenBook("ridge", nothing).ask("loads", {"at": clock(0).isoformat()}) == []


def test_asking_twice_works_once() -> None:
    book = opened(busy())
    first = book.ask("now", {})
    assert book.ask("now", {}) == first
    book.add(pairs([Scribe("phone-8", "ana").write("weather", {"air": "2 degC"}, 82)]))
    assert book.ask("now", {}) != first


def test_the_units_of_the_plan_are_the_answers_units() -> None:
    said = ask(busy(PLAN.replace('units = "metric"', 'units = "us"')), "now")
    assert said["units"] == "us"
    assert any("°F" in call["line"] + call["head"] for call in said["calls"])
