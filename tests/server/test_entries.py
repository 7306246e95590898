"""Push and pull: receipts, the cursor, and a store that was put back from a copy."""

import shutil
from itertools import islice

import pytest

from matbook.store.contract import Written
from tests.scribe import Scribe
from tests.server.house import Served, code_of
from tests.store.books import notes, pair


def chain(count: int) -> list[Written]:
    return list(islice(notes(), count))


def test_every_entry_has_its_receipt_and_comes_back_to_the_letter(here: Served) -> None:
    entries = chain(5)
    pushed = here.me.push(entries)
    assert [r["state"] for r in pushed["receipts"]] == ["kept"] * 5
    assert [r["cursor"] for r in pushed["receipts"]] == [2, 3, 4, 5, 6]
    assert pushed["heads"]["phone-1"] == [{"seq": 5, "hash": entries[-1][0]}]
    pulled = here.me.pull(after=1)
    assert [(e["hash"], e["text"]) for e in pulled["entries"]] == entries
    assert {e["received"] for e in pulled["entries"]} == {"2026-05-12T12:00:00-03:00"}
    assert (pulled["cursor"], pulled["more"], pulled["again"]) == (6, False, False)
    assert pulled["epoch"] == pushed["epoch"]


def test_the_same_push_again_has_the_same_cursors(here: Served) -> None:
    first = here.me.push(chain(4))
    again = here.me.push(list(reversed(chain(4))))
    assert [r["state"] for r in again["receipts"]] == ["had"] * 4
    assert [r["cursor"] for r in again["receipts"]] == [
        r["cursor"] for r in reversed(first["receipts"])
    ]


def test_pages_follow_each_other(here: Served) -> None:
    here.me.push(chain(7))
    seen, after, behind, more = [], 0, "", True
    while more:
        page = here.me.pull(after, limit=3, behind=behind)
        seen += [e["hash"] for e in page["entries"]]
        after, behind, more = page["cursor"], page["entries"][-1]["hash"], page["more"]
    assert len(seen) == len(set(seen)) == 8
    assert here.me.pull(after, behind=behind)["entries"] == []


def test_a_page_ends_before_it_is_too_long(here: Served) -> None:
    scribe = Scribe()
    large = [pair(scribe.write("note", {"text": "x" * 250_000}, n)) for n in range(20)]
    for one in large:
        here.me.push([one])
    page = here.me.pull(after=1)
    assert 1 <= len(page["entries"]) < 20
    assert page["more"]


def test_a_refused_entry_does_not_stop_the_others_and_is_not_lost(here: Served) -> None:
    good, bad = chain(1)[0], ("0" * 64, '{"a": 1}')
    receipts = here.me.push([bad, good])["receipts"]
    assert [r["state"] for r in receipts] == ["refused", "kept"]
    assert "was changed after it was written" in receipts[0]["reason"]
    assert [q.text for q in here.house.store.quarantined()] == ['{"a": 1}']


def test_an_entry_of_another_job_is_refused_there(here: Served) -> None:
    other = pair(Scribe(job="vale").write("note", {"text": "?"}, shift="vale/2026-05-12/a/day"))
    [receipt] = here.me.push([other])["receipts"]
    assert receipt["state"] == "refused"
    assert "job “vale”" in receipt["reason"]
    assert here.house.store.jobs() == ["ridge"]


def test_a_store_put_back_from_a_copy_says_begin_again_and_takes_what_it_lacks(
    here: Served,
) -> None:
    here.me.push(chain(3))
    here.close()
    copy = here.home.with_name("copy")
    shutil.copytree(here.home, copy)
    here.open()
    here.me.push(chain(6))
    reached = here.me.pull()
    behind = reached["entries"][-1]["hash"]
    here.close()
    shutil.rmtree(here.home)
    shutil.move(copy, here.home)
    here.open()

    assert here.me.pull(reached["cursor"], behind=behind)["again"]
    other = pair(Scribe("phone-2", "bo").write("note", {"text": "meanwhile"}))
    pushed = here.me.push([other])
    assert pushed["heads"]["phone-1"][0]["seq"] == 3, "what it lacks can be seen"
    states = [r["state"] for r in here.me.push(chain(6))["receipts"]]
    assert states == ["had"] * 3 + ["kept"] * 3
    again = here.me.pull(reached["cursor"], behind=behind)
    assert again["again"], "another entry stands at that cursor now"
    assert again["entries"] == []
    assert {e["hash"] for e in here.me.pull()["entries"]} >= {h for h, _ in [*chain(6), other]}


def test_the_same_entry_at_the_same_cursor_of_another_store_is_noticed(here: Served) -> None:
    """Sent again to a store that was put back, it can come to stand where it stood."""
    here.me.push(chain(2))
    known = here.me.pull()["entries"][-1]
    place = {"behind": known["hash"], "received": known["received"]}
    assert not here.me.pull(known["cursor"], **place)["again"]
    later = place | {"received": "2026-05-12T12:00:01-03:00"}
    assert here.me.pull(known["cursor"], **later)["again"]


def test_a_cursor_that_is_not_here_yet_means_begin_again(here: Served) -> None:
    assert here.me.pull(after=99)["again"]
    assert not here.me.pull(after=1)["again"]


@pytest.mark.parametrize(
    "query",
    ["after=-1", "after=x", "limit=0", "limit=1001", "behind=xyz", "after=9007199254740992"],
)
def test_a_query_that_makes_no_sense_is_named(here: Served, query: str) -> None:
    answer = here.me.get(f"/api/jobs/ridge/entries?{query}")
    assert code_of(answer) == (422, "refused")
    assert query.partition("=")[0] in answer.json()["error"]["field"]


def test_a_batch_that_is_too_long_or_strange_is_refused_whole(here: Served) -> None:
    many = [{"hash": "", "text": ""}] * 501
    number = [{"hash": 1, "text": ""}]
    bodies: tuple[object, ...] = ({"entries": many}, {"entries": number}, {}, [], "x", None)
    for body in bodies:
        answer = here.me.post("/api/jobs/ridge/entries", body)
        assert code_of(answer) == (422, "refused"), body
    assert list(here.house.store.quarantined()) == []


def test_half_a_character_is_quarantined_not_stumbled_over(here: Served) -> None:
    raw = b'{"entries":[{"hash":"\\ud800","text":"\\udfff"}]}'
    headers = {"Content-Type": "application/json"}
    answer = here.me.send("POST", "/api/jobs/ridge/entries", content=raw, headers=headers)
    assert answer.status_code in (200, 422), answer.text
    assert here.me.get("/api/health").json()["up"]


def test_a_job_that_is_not_here_has_no_entries_yet(here: Served) -> None:
    answer = here.me.get("/api/jobs/nowhere/entries").json()
    assert (answer["entries"], answer["cursor"], answer["heads"]) == ([], 0, {})


def test_jobs_are_listed_with_their_shifts(here: Served) -> None:
    here.me.push(chain(2))
    [job] = here.me.get("/api/jobs").json()["jobs"]
    assert (job["job"], job["cursor"]) == ("ridge", 3)
    assert job["shifts"] == ["ridge/2026-05-12/a/day"]
    assert job["name"] != "ridge", "the plan's name for it"
