"""The record says who was told, how soon, what they answered and what became of it on its way."""

import json

from matbook.book.sending import Sending
from matbook.desk.job import JobBook
from matbook.records.daily import daily_record
from tests.shift.site import NEXT, Site, clock

AT = "2026-05-12T10:31:00+00:00"
MEANT = "Sent means that the mail server or gateway took it, not that anybody read it."


def test_times_answers_and_ways_out_stand_in_the_record_and_carry_over() -> None:
    site = Site()
    load = site.load("101", 2)
    told = site.write("notice", {"to": ["pia", "cole"], "how": "mail", "text": "Load 101 is cold.",
                                 "about": [load.id]}, 10)  # fmt: skip
    plain = json.dumps(daily_record(site.view(), None).data)
    assert "8 min after it was seen" in plain
    assert "no answer" in plain
    assert MEANT not in plain
    site.write("reply", {"notice": told.id, "from": "pia", "text": "Burner trimmed.",
                         "settles": "no"}, 17)  # fmt: skip
    sendings = {
        told.id: (
            Sending(told.id, "pia", "mail", "sent", AT, tries=1),
            Sending(told.id, "cole", "mail", "given-up", AT, "unreached", tries=30),
        )
    }
    said = json.dumps(daily_record(site.view(), None, sendings=sendings).data)
    assert "07:17 Pia Holt: Burner trimmed. (after 7 min)" in said
    assert "mail; Pia Holt: sent 07:31; Cole Reed: given up 07:31 (the other side can't be" in said
    assert MEANT in said
    site.write("shift-open", {}, 24 * 60, shift=NEXT)
    book = JobBook(site.entries)
    book.know_sendings(sendings[told.id])
    view = book.view(NEXT, clock(25 * 60))
    later = json.dumps(daily_record(view, None, sendings=book.sendings).data, ensure_ascii=False)
    assert "from before · 8 min after it was seen" in later
    assert "Pia Holt: sent 07:31" in later


def test_a_book_as_it_was_known_knows_what_was_known_of_sendings() -> None:
    site = Site()
    told = site.write("notice", {"to": ["pia"], "how": "mail", "text": "Cold."}, 10)
    book = JobBook(site.entries)
    book.know_sendings([Sending(told.id, "pia", "mail", "sent", AT)])
    assert book.as_known(clock(30)).sendings == {}
    assert book.as_known(clock(31)).sendings == book.sendings
