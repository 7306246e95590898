"""Calls in words, as many as are asked for, by id and by entry: as Now has them all together."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, NamedTuple

import pytest

from matbook.book.entry import read_entry
from matbook.desk import calls
from matbook.desk.open_book import OpenBook
from matbook.errors import Refused
from matbook.shift.speak import ageless
from tests.desk.asked import ask, busy, demo, opened

DAY = "harrow/2026-06-16/a/day"
MOMENTS = ("2026-06-16T09:00:00-03:00", "2026-06-16T13:00:00-03:00", "2026-06-17T08:00:00-03:00")
"""In the demo's first day, before and after a notice of it is settled; and when it is over."""

Row = dict[str, Any]


class Stood(NamedTuple):
    """The demo's day as it was known at a moment, and every call of it."""

    ask: Callable[..., Any]
    now: Row

    @property
    def calls(self) -> list[Row]:
        found: list[Row] = self.now["calls"]
        return found


@pytest.fixture(scope="module", params=MOMENTS)
def stood(request: pytest.FixtureRequest) -> Stood:
    until = datetime.fromisoformat(request.param)
    book = OpenBook("harrow")
    book.add(pair for pair in demo("harrow") if read_entry(pair[1], pair[0]).written <= until)

    def ask(question: str, **given: Any) -> Any:
        return book.ask(question, {"shift": DAY, "at": request.param, **given})

    return Stood(ask, ask("now"))


def waiting(found: list[Row]) -> list[Row]:
    """Those that wait for somebody, by what their words say."""
    return [
        call
        for call in found
        if call["grade"] != "note" and not (call["told"] and call["told"]["settled"])
    ]


def test_now_gives_the_most_urgent_that_wait_and_counts_the_others(stood: Stood) -> None:
    wait = waiting(stood.calls)
    assert 3 < len(wait) < len(stood.calls)
    assert [call for call in stood.calls if call["waits"]] == wait
    assert stood.now["more"] == 0
    for most in (0, 1, "3", 1000):
        few = stood.ask("now", most=most)
        assert few["calls"] == wait[: int(most)]
        assert len(few["calls"]) + few["more"] == len(stood.calls)
        assert {**few, "calls": [], "more": 0} == {**stood.now, "calls": [], "more": 0}


def test_calls_are_found_by_id_by_entry_or_all_together(stood: Stood) -> None:
    assert stood.ask("calls") == stood.ask("calls", id="", entry=None) == stood.calls
    for call in stood.calls:
        assert stood.ask("calls", id=call["id"]) == [call]
    entry = max((one for call in stood.calls for one in call["entries"]), key=str(stood.now).count)
    about = [call for call in stood.calls if entry in call["entries"]]
    assert stood.ask("calls", entry=entry) == about
    assert stood.ask("calls", entry=entry, id=about[-1]["id"]) == about[-1:]
    assert stood.ask("calls", id="load.temperature:nothing") == []
    assert stood.ask("calls", entry="nothing") == []


def test_a_notice_may_be_of_whatever_needs_a_person(stood: Stood) -> None:
    for call in {one["code"].partition(".")[0]: one for one in stood.calls}.values():
        body = stood.ask("tell", call=call["id"])
        assert (body["call"], body["text"]) == (call["id"], call["draft"])


@pytest.mark.parametrize("given", [-1, 1001, "three", 2.5, True, [3], "99999999999999999999"])
def test_most_is_a_whole_number(given: object) -> None:
    with pytest.raises(Refused, match=r"^most is .+; a whole number from 0 to 1000\.$"):
        ask(busy(), "now", most=given)


def test_an_id_and_an_entry_are_texts() -> None:
    with pytest.raises(Refused, match="entry is “5”; it must be text"):
        ask(busy(), "calls", entry=5)


def test_what_is_not_given_is_not_put_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []

    def heard(call: Any, *more: Any) -> Any:
        said.append(call.id)
        return ageless(call, *more)

    monkeypatch.setattr(calls, "ageless", heard)
    book = opened(busy())
    given = [call["id"] for call in book.ask("now", {"most": 2})["calls"]]
    assert said == given
    (last, *_) = reversed(book.ask("now", {})["calls"])
    book.ask("calls", {"id": last["id"], "language": "fr"})
    assert said[2:].count(last["id"]) == 2  # once in each language


@pytest.mark.parametrize("role", ["inspector", "contractor", "plant"])
def test_each_role_is_told_of_its_own_calls(role: str) -> None:
    book = opened(busy())
    found = book.ask("now", {"role": role})["calls"]
    assert found
    assert book.ask("calls", {"role": role}) == found
