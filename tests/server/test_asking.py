"""The views over HTTP are the open book's answers; records and bundles are the command line's."""

import zipfile
from io import BytesIO

import pytest

from matbook.desk.open_book import OpenBook
from matbook.seal.sealing import holds
from tests.scribe import SHIFT, Scribe
from tests.server.house import NOW, Served, code_of
from tests.store.books import pair, pairs

PATH = f"/api/jobs/ridge/shifts/{SHIFT.partition('/')[2]}"
LOAD = {"plant": "hill", "truck": "12", "mix": "ac16", "decision": "taken", "net": "22.00 t"}
PLACE = {"lane": "E", "lift": "binder", "paver": "P1"}


def a_morning(scribe: Scribe) -> list[tuple[str, str]]:
    entries = [scribe.write("shift-open", {"weather": "dry"}, -20)]
    for number in range(5):
        body = LOAD | {"ticket": str(100 + number), "temp": f"{120 + number} degC"}
        entries.append(scribe.write("load", body, 10 * number, place=PLACE))
    return pairs(entries)


def test_a_view_is_what_the_open_book_answers(here: Served) -> None:
    here.me.push(a_morning(Scribe()))
    book = OpenBook("ridge")
    book.add((stored.hash, stored.text) for stored in here.house.store.entries("ridge"))
    asked = {"at": NOW.isoformat(), "role": "supervisor", "language": "en"}
    for question in ("now", "loads", "entries", "figures", "plan", "close"):
        answer = here.me.get(f"/api/jobs/ridge/ask/{question}?language=en")
        assert answer.json() == book.ask(question, asked), question


def test_what_was_pushed_is_in_the_next_answer(here: Served) -> None:
    scribe = Scribe()
    here.me.push(a_morning(scribe))
    assert len(here.me.get("/api/jobs/ridge/ask/loads").json()) == 5
    later = scribe.write("load", LOAD | {"ticket": "105"}, 60, place=PLACE)
    here.me.push([pair(later)])
    assert len(here.me.get("/api/jobs/ridge/ask/loads").json()) == 6


def test_a_body_being_typed_is_judged(here: Served) -> None:
    here.me.push(a_morning(Scribe()))
    typed = {"kind": "load", "body": LOAD | {"temp": "60 degC"}, "place": PLACE}
    answer = here.me.post("/api/jobs/ridge/ask/judge", typed)
    assert answer.status_code == 200
    assert any(said["field"] == "temp" for said in answer.json()["says"]), answer.text


@pytest.fixture(scope="module")
def morning(unmoved: Served) -> Served:
    unmoved.me.push(a_morning(Scribe()))
    return unmoved


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ("nothing", 404),
        ("now?language=xx", 422),
        ("now?shift=ridge/1999-01-01/a/day", 404),
        ("now?at=yesterday", 422),
        ("figure?name=none", 404),
        ("entry?id=none", 404),
        ("now?language=en&language=fr", 422),
        (f"now?shift={'x' * 3000}", 422),
    ],
)
def test_a_question_that_makes_no_sense_has_its_sentence(
    morning: Served, query: str, status: int
) -> None:
    assert code_of(morning.me.get(f"/api/jobs/ridge/ask/{query}"))[0] == status


def test_a_job_that_is_not_here_is_not_found(here: Served) -> None:
    for path in ("ask/now", "shifts/2026-05-12/a/day/record"):
        assert code_of(here.me.get(f"/api/jobs/vale/{path}")) == (404, "not-found")


def test_a_closed_shift_is_sealed_once_and_again_when_it_is_closed_again(here: Served) -> None:
    scribe = Scribe()
    here.me.push(a_morning(scribe))
    assert code_of(here.me.post(f"{PATH}/seal", None)) == (409, "not-closed")
    here.me.push([pair(scribe.write("shift-close", {}, 100))])
    first = here.me.post(f"{PATH}/seal", None).json()["seal"]
    assert here.me.post(f"{PATH}/seal", None).json()["seal"] == first
    book = here.house.book("ridge")
    seal = book.seal_of(SHIFT)
    assert seal is not None
    assert seal.hash == first["hash"]
    assert holds(seal, book.entries)
    here.me.push([pair(Scribe("phone-2", "tom").write("note", {"text": "late"}, 20))])
    assert here.me.post(f"{PATH}/seal", None).json()["seal"] == first, "it arrived late"
    here.me.push([pair(scribe.write("shift-close", {}, 120))])
    second = here.me.post(f"{PATH}/seal", None).json()["seal"]
    assert second["hash"] != first["hash"]
    assert code_of(here.me.post(PATH.replace("/a/", "/b/") + "/seal", None))[0] == 404


def test_the_record_the_bundle_and_the_lines_come_out(here: Served) -> None:
    scribe = Scribe()
    here.me.push(a_morning(scribe))
    draft = here.me.get(f"{PATH}/record?language=fr")
    assert b"/Lang(fr" in draft.content
    assert here.me.get(f"{PATH}/record?language=xx").status_code == 422
    assert draft.headers["content-type"] == "application/pdf"
    assert b"/Sig" not in draft.content, "a draft is not signed"
    here.me.push([pair(scribe.write("shift-close", {}, 100))])
    here.me.post(f"{PATH}/seal", None)
    record = here.me.get(f"{PATH}/record")
    assert record.content.startswith(b"%PDF-")
    assert b"/Sig" in record.content
    assert 'filename="ridge_2026-05-12_a_day.pdf"' in record.headers["content-disposition"]
    with zipfile.ZipFile(BytesIO(here.me.get(f"{PATH}/bundle").content)) as packed:
        assert {"entries.jsonl", "sealed.txt", "verifier.py"} <= set(packed.namelist())
        lines = packed.read("entries.jsonl").decode().splitlines()
    mine = here.me.get(f"{PATH}/lines").text.splitlines()
    assert set(mine) == set(lines)
