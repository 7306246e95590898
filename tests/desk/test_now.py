"""Now: calls in words with whom to tell, what was told, a draft, and the figure that opens."""

from typing import Any

import pytest

from matbook.desk.calls import figure_of
from tests.desk.asked import ask, busy, opened
from tests.shift.site import Site, at, clock, on


def calls(site: Site, code: str, **arguments: Any) -> list[dict[str, Any]]:
    return [call for call in ask(site, "now", **arguments)["calls"] if call["code"] == code]


def test_the_heading_names_job_and_shift() -> None:
    assert ask(busy(), "now")["heading"] == {
        "title": "Ridge Road",
        "line": "2026-05-12 · crew a · day shift",
    }


def test_a_call_leads_with_its_number_and_says_whom_to_tell() -> None:
    cold, cool = calls(busy(), "load.temperature"), ask(busy(), "now", language="es")["calls"]
    assert len(cold) == 1
    call = cold[0]
    assert (call["grade"], call["head"]) == ("act", "109 °C")
    assert (
        call["line"] == "Load 106: 6 °C below the limit on delivery (at least 115 °C (4.1)). Taken."
    )
    assert call["tell"] == [{"id": "pia", "name": "Pia Holt", "role": "plant"}]
    assert call["told"] is None
    spanish = next(one for one in cool if one["id"] == call["id"])
    assert spanish["line"].startswith("Carga 106: 6 °C por debajo del límite a la entrega")
    assert spanish["tell"][0]["role"] == "planta"


def test_a_draft_holds_observation_limit_and_request_and_no_order() -> None:
    draft = calls(busy(), "load.temperature")[0]["draft"]
    assert draft == (
        "Observed 07:50: 109 °C. Load 106: 6 °C below the limit on delivery "
        "(at least 115 °C (4.1)). Taken. Please look into it at the plant and say what you find."
    )
    other = calls(busy(), "notice.answered-open")[0]["draft"]
    assert other.endswith("Please say what you know of it.")


def test_one_tap_gives_the_body_of_a_notice() -> None:
    site = busy()
    call = calls(site, "load.temperature")[0]
    body = ask(site, "tell", call=call["id"])
    assert body == {"to": ["pia"], "text": call["draft"], "call": call["id"],
                    "about": call["entries"]}  # fmt: skip
    told = site.write("notice", {**body, "how": "phone"}, 90)
    site.write("reply", {"notice": told.id, "text": "Looking.", "settles": "yes"}, 95, by="cole")
    assert calls(site, "load.temperature")[0]["told"] == {
        "id": told.id, "at": "08:30", "to": ["Pia Holt"], "settled": True, "answer": "Looking.",
        "times": "Told 40 min after it was seen, answered 5 min later", "sent": [],
    }  # fmt: skip


def test_what_a_call_is_about_is_an_entry_that_is_there() -> None:
    site = busy()
    site.write("disagreement", {"about": "nothing-here", "says": "no"}, 85, by="cole")
    call = calls(site, "book.disagreement")[0]
    about = ask(site, "tell", call=call["id"])["about"]
    assert about == [site.entries[-1].id]


@pytest.mark.parametrize("minute", [0, 82])
def test_every_figure_that_now_names_can_be_opened(minute: float) -> None:
    site = busy()
    site.lay(["27.00 t"] * 5, start=400, minute=100)
    book = opened(site)
    said = book.ask("now", {})
    named = [one["figure"] for one in (*said["calls"], *said["answers"]) if one["figure"]]
    assert any(name.startswith("yield.last/") for name in named)
    assert any(name.startswith("yield.lift/") for name in named)
    assert any(name.startswith("reading/") for name in named)
    for name in named:
        assert book.ask("figure", {"name": name})["name"] == name


def test_the_figure_of_a_load_whose_number_comes_twice() -> None:
    site = Site()
    for n in range(2):
        site.load(
            "101", n * 10, net="30.00 t", truck="12", place=on("E", "binder", n * 50, n * 50 + 50)
        )
    seen = site.view()
    call = next(c for c in seen.calls if c.code == "yield.load")
    assert figure_of(seen, call) == "yield.load/E/binder/101/deviation#2"
    names = [name for name, _ in seen.figures()]
    assert "yield.load/E/binder/101/deviation#2" in names
    assert seen.yield_figure("yield.last", "E/binder/P1") is None


def test_a_call_without_a_figure_names_none() -> None:
    assert calls(busy(), "load.temperature")[0]["figure"] is None


def test_the_number_of_the_pavers_answer_leads_to_what_was_written() -> None:
    site = busy()
    found = {one["name"]: one for one in ask(site, "now", 82)["answers"]}
    assert found["haul"]["entries"] == [e.id for e in site.entries if e.kind == "paver"][-1:]
    assert found["load"]["entries"]
    assert found["density"]["title"] == "Density"
    site.write("paver", {"event": "start"}, 84, place=at(350))
    site.write("paver", {"event": "at"}, 90, place=at(380))
    moving = {one["name"]: one for one in ask(site, "now", 90)["answers"]}
    assert len(moving["haul"]["entries"]) == 5


def test_what_later_versions_compute_says_so() -> None:
    lines = {a["name"]: a["lines"] for a in ask(busy(), "now")["answers"]}
    assert lines["rolling"] == ["not forecast: the plan doesn't say where the job lies"]
    assert lines["haul"][-1].startswith("no forecast of the haul yet")
    assert lines["density"][-1] == "no lot has a result yet"
    assert clock(0).hour == 7
