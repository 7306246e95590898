"""Who was told, what they answered, and what is still open, from shift to shift."""

from datetime import timedelta

from matbook.book.entry import Entry
from matbook.book.pen import ShiftName
from matbook.shift.carry import carry_of
from matbook.shift.facts import Facts
from matbook.shift.told import Matter, matters, still_open
from tests.shift.site import NAME, NEXT, Site, clock


def notice(site: Site, minute: float = 0, **more: object) -> Entry:
    body = {"to": ["cole"], "how": "spoken", "text": "Loose depth 12 mm low.", **more}
    return site.write("notice", body, minute)


def reply(site: Site, to: str, settles: str, minute: float = 20, by: str = "ana") -> Entry:
    body = {"notice": to, "from": "cole", "text": "Screed raised.", "settles": settles}
    return site.write("reply", body, minute, by=by)


def only(site: Site) -> Matter:
    (matter,) = matters(site.facts)
    return matter


def test_a_notice_without_an_answer_is_open_and_waits() -> None:
    site = Site()
    notice(site)
    matter = only(site)
    assert (matter.to, matter.how, matter.text) == (("cole",), "spoken", "Loose depth 12 mm low.")
    assert (matter.answered, matter.settled) == (False, False)
    assert matter.waited(clock(25)) == timedelta(minutes=25)
    assert matter.waited(clock(-5)) == timedelta()


def test_an_answer_that_settles_nothing_leaves_it_open() -> None:
    site = Site()
    reply(site, notice(site).id, "no")
    assert (only(site).answered, only(site).settled) == (True, False)
    assert only(site).waited(clock(90)) == timedelta(minutes=20)
    assert still_open(site.facts) == (only(site),)


def test_an_answer_that_settles_closes_it() -> None:
    site = Site()
    told = notice(site)
    reply(site, told.id, "no")
    reply(site, told.id, "yes", 30, by="cole")
    assert only(site).settled
    assert still_open(site.facts) == ()


def test_an_answer_to_a_notice_that_was_corrected_answers_the_correction() -> None:
    site = Site()
    first = notice(site)
    body = {"to": ["cole"], "how": "radio", "text": "Loose depth 10 mm low."}
    site.write("notice", body, 0, late=5, strikes=first.id, why="misread")
    reply(site, first.id, "yes")
    assert (only(site).text, only(site).settled) == ("Loose depth 10 mm low.", True)


def test_an_open_matter_is_answered_in_the_next_shift() -> None:
    site = Site()
    told = notice(site)
    settled = notice(site, 5)
    reply(site, settled.id, "yes")
    carry = carry_of(site.facts)
    assert [matter.id for matter in carry.matters] == [told.id]
    body = {"notice": told.id, "text": "Done overnight.", "settles": "yes"}
    answer = site.write("reply", body, 24 * 60, shift=NEXT)

    following = Facts(ShiftName.read(NEXT), site.entries)
    (matter,) = matters(following, carry.matters)
    assert (matter.settled, matter.shift) == (True, told.shift)
    assert [fact.id for fact in matter.replies] == [answer.id]
    assert still_open(following, carry.matters) == ()
    assert carry_of(following, carry).matters == ()


def test_a_matter_nobody_answers_is_carried_on_and_on() -> None:
    site = Site()
    told = notice(site)
    carry = carry_of(site.facts)
    following = Facts(ShiftName.read(NEXT), site.entries)
    assert [matter.id for matter in carry_of(following, carry).matters] == [told.id]


def test_what_was_told_answers_a_call_by_its_id() -> None:
    site = Site()
    site.load("101", temp="101 degC")
    call = site.call("load.temperature")
    assert site.view().told(call) is None
    told = notice(site, call=call.id)
    found = site.view().told(site.call("load.temperature"))
    assert found is not None
    assert found.id == told.id
    again = notice(site, 30, call=call.id)
    assert [one.id for one in site.view().notices_of(call)] == [told.id, again.id]
    reply(site, again.id, "yes", 40)
    settled = site.view().told(call)
    assert settled is not None
    assert settled.id == again.id, "somebody said that it is settled"


def test_how_soon_somebody_was_told_and_answered() -> None:
    site = Site()
    assert only_of(site, notice(site)).told_after is None, "it says nothing of what it is about"
    first, second = site.load("101", 2), site.load("102", 6)
    later = site.load("103", 60)
    told = notice(site, 10, about=[first.id, second.id, later.id, "not-here"])
    assert only_of(site, told).told_after == timedelta(minutes=4), "since the last seen before it"
    assert only_of(site, told).answered_after is None
    reply(site, told.id, "no", 17)
    reply(site, told.id, "yes", 30)
    assert only_of(site, told).answered_after == timedelta(minutes=7)
    early = notice(site, 1, about=[first.id])
    assert only_of(site, early).told_after is None, "nothing of it had been seen"


def test_what_was_seen_may_arrive_after_the_notice() -> None:
    site = Site()
    load = site.load("101", 2)
    told = notice(site, 10, about=[load.id])
    facts = Facts(NAME, [entry for entry in site.entries if entry.id != load.id])
    assert matters(facts)[0].told_after is None
    assert facts.add(load)
    assert matters(facts)[0].told_after == timedelta(minutes=8)
    assert matters(facts)[0].id == told.id


def test_the_times_go_into_the_next_shift() -> None:
    site = Site()
    told = notice(site, 10, about=[site.load("101", 2).id])
    carry = carry_of(site.facts)
    answer = {"notice": told.id, "text": "Seen.", "settles": "yes"}
    site.write("reply", answer, 24 * 60, by="cole", shift=NEXT)
    (matter,) = matters(Facts(ShiftName.read(NEXT), site.entries), carry.matters)
    assert matter.told_after == timedelta(minutes=8)
    assert matter.answered_after == timedelta(minutes=24 * 60 - 10)


def only_of(site: Site, told: Entry) -> Matter:
    return next(matter for matter in matters(site.facts) if matter.id == told.id)
