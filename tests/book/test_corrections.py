"""Corrections: what stands, whatever the order in which strikes arrive."""

from collections import defaultdict
from itertools import permutations

from matbook.book.corrections import Settled, settle
from matbook.book.entry import Entry
from tests.scribe import Scribe


def settled(*entries: Entry) -> Settled:
    strikers: dict[str, list[Entry]] = defaultdict(list)
    for entry in sorted(entries, key=lambda entry: entry.order):
        if entry.strikes:
            strikers[entry.strikes].append(entry)
    return settle(entries[0], dict(strikers))


def load(scribe: Scribe, net: str, minute: float, strikes: str = "") -> Entry:
    body = {"plant": "east", "ticket": "7", "net": net, "decision": "taken"}
    return scribe.write("load", body, minute, strikes=strikes, why="misread" if strikes else "")


def test_nothing_struck_stands() -> None:
    only = load(Scribe(), "22.40 t", 1)
    assert settled(only) == Settled(only, ())


def test_a_correction_of_a_correction_stands() -> None:
    scribe = Scribe()
    first = load(scribe, "22.40 t", 1)
    second = load(scribe, "24.20 t", 2, first.id)
    third = load(scribe, "24.02 t", 3, second.id)
    for order in permutations((second, third)):
        found = settled(first, *order)
        assert found.standing is third
        assert found.struck == (first, second)


def test_a_note_withdraws_and_nothing_stands() -> None:
    scribe = Scribe()
    first = load(scribe, "22.40 t", 1)
    gone = scribe.write("note", {"text": "twice"}, 2, strikes=first.id, why="entered twice")
    assert settled(first, gone).standing is None


def test_what_was_withdrawn_comes_back_by_being_written_again() -> None:
    scribe = Scribe()
    first = load(scribe, "22.40 t", 1)
    gone = scribe.write("note", {"text": "twice"}, 2, strikes=first.id, why="entered twice")
    again = load(scribe, "22.40 t", 3, gone.id)
    assert settled(first, gone, again).standing is again


def test_a_withdrawn_correction_does_not_bring_the_first_back() -> None:
    scribe = Scribe()
    first = load(scribe, "22.40 t", 1)
    second = load(scribe, "24.20 t", 2, first.id)
    gone = scribe.write("note", {"text": "no load"}, 3, strikes=second.id, why="another job")
    assert settled(first, second, gone).standing is None


def test_a_note_that_corrects_a_note_stands() -> None:
    scribe = Scribe()
    first = scribe.write("note", {"text": "rain at 9"}, 1)
    second = scribe.write("note", {"text": "rain at 10"}, 2, strikes=first.id, why="clock")
    assert settled(first, second).standing is second


def test_a_contest_counts_the_first_and_shows_the_other() -> None:
    ana, ben = Scribe(), Scribe("phone-2", "ben")
    first = load(ana, "22.40 t", 1)
    one, other = load(ana, "24.20 t", 2, first.id), load(ben, "24.60 t", 3, first.id)
    found = settled(first, other, one)
    assert found.standing is one
    assert found.contenders == (other,)


def test_a_contest_ends_when_one_side_is_withdrawn() -> None:
    ana, ben = Scribe(), Scribe("phone-2", "ben")
    first = load(ana, "22.40 t", 1)
    one, other = load(ana, "24.20 t", 2, first.id), load(ben, "24.60 t", 3, first.id)
    ruling = ben.write("note", {"text": "the second is right"}, 4, strikes=one.id, why="scale slip")
    found = settled(first, one, other, ruling)
    assert found.standing is other
    assert found.contenders == ()


def test_withdrawing_is_one_side_of_a_contest_about_the_observation_itself() -> None:
    ana, ben = Scribe(), Scribe("phone-2", "ben")
    first = load(ana, "22.40 t", 1)
    gone = ben.write("note", {"text": "no such load"}, 2, strikes=first.id, why="not seen")
    other = load(ana, "24.20 t", 3, first.id)
    found = settled(first, gone, other)
    assert found.standing is None
    assert found.contenders == (other,)


def test_an_entry_reached_twice_is_followed_once() -> None:
    scribe = Scribe()
    first = load(scribe, "22.40 t", 1)
    second = load(scribe, "24.20 t", 2, first.id)
    found = settle(first, {first.id: [second, second]})
    assert found.standing is second
    assert found.contenders == ()
