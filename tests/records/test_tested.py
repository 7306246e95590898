"""The record tells of strips and gauges: their sentences, and the growth drawn beside them."""

import pypdfium2

from matbook.desk.job import JobBook
from matbook.records.pdf import attachments_of
from matbook.records.reporting import make_record
from tests.desk.asked import ask
from tests.lots.tested import FALLING, HOT, Bench
from tests.scribe import SHIFT
from tests.shift.site import clock


def test_strip_and_gauge_stand_in_the_record() -> None:
    bench = Bench()
    bench.count(2850)
    bench.grow(HOT, 100, minute=5)
    bench.grow(FALLING, 130, minute=6)
    made = make_record(JobBook(bench.site.entries), SHIFT, None, clock(240))
    with pypdfium2.PdfDocument(made.pdf) as document:
        pages = [page.get_textpage().get_text_bounded() for page in document]
    words = " ".join(" ".join(pages).split())
    for question in ("strip", "gauges"):
        for part in ask(bench.site, question)["parts"]:
            for line in part["lines"]:
                assert " ".join(line["text"].split()) in words
    assert "Only trained and authorised people handle it" in words
    assert "entries.jsonl" in attachments_of(made.pdf)
