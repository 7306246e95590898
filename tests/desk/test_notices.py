"""Drafts of notices: what was seen, the limit, what is asked, never how to work; and their way."""

import re
from typing import Any

import pytest

from matbook.desk.open_book import OpenBook
from matbook.errors import Refused
from matbook.words import languages, sentences
from tests.architecture import house
from tests.architecture.test_words import call_codes
from tests.desk.asked import ask, busy, demo, opened
from tests.shift.site import Site, on

MEANS = re.compile(
    r"(?:^|[.:;,] |please )(?:look at|look again|read|test|take|stop|move|roll|wait|raise|lower|"
    r"change|slow|send|reject|remove|put|keep|use|don't|do not|add|lay|cut|heat|must|should)\b",
    re.IGNORECASE,
)
"""How an order on how to work would begin."""
ASKED = re.compile(r"Please (say|compare|look into it|answer)\b|For you to know; please say\b")


def drafts(book: OpenBook, language: str) -> list[dict[str, Any]]:
    """Every call of a book's first shift, in one language."""
    return [
        call
        for shift in book.shifts()[:1]
        for call in book.ask("now", {"shift": shift, "language": language})["calls"]
    ]


def every_code() -> set[str]:
    return {
        str(given.value)
        for tree in house.trees("src").values()
        for call, name in house.calls(tree)
        for given in call_codes(call, name)
    }


@pytest.mark.parametrize("language", languages())
def test_every_draft_says_when_what_the_limit_and_what_is_asked(language: str) -> None:
    requests = {text for code, text in sentences(language).items() if code.startswith("request.")}
    books = [opened(busy()), OpenBook("kestrel")]
    books[1].add(demo("kestrel"))
    found = [call for book in books for call in drafts(book, language)]
    assert len({call["code"] for call in found}) > 10
    for call in found:
        said = call["draft"]
        assert re.search(r"\b\d\d:\d\d\b", said), "when it was seen"
        assert call["head"] in said
        assert any(said.endswith(request) for request in requests), said
        limit = call["small"].partition(" · ")[0]
        if call["small"].count(" · ") and not limit[:1].isdigit():
            assert limit in said, "the limit, with its clause"
        assert "{" not in said


def test_no_draft_orders_how_to_work() -> None:
    said = sentences("en")
    codes = every_code()
    assert len(codes) > 40
    lines = {code: said.get(f"draft.{code}", said[f"call.{code}.line"]) for code in codes}
    ours = {"plan.missing"}  # nobody else is told of it
    assert {code: line for code, line in lines.items() if MEANS.search(line)}.keys() <= ours
    requests = [text for code, text in said.items() if code.startswith("request.")]
    assert [text for text in requests if not ASKED.match(text) or MEANS.search(text)] == []


@pytest.mark.parametrize(
    ("text", "orders"),
    [
        ("Load 106 is cold. Raise the mixing temperature.", True),
        ("Please stop the paver.", True),
        ("Look again with the probe.", True),
        ("The rollers should come closer.", False),
        ("Please say what you find.", False),
    ],
)
def test_an_order_is_seen(text: str, orders: bool) -> None:
    assert bool(MEANS.search(text)) is orders


def test_what_only_its_observer_should_do_is_not_told_to_others() -> None:
    lines = sentences("en")
    drafts = {code.removeprefix("draft.") for code in lines if code.startswith("draft.")}
    own = {code for code in drafts if f"call.{code}.line" in lines}
    assert own >= {"mat.uneven", "mat.odd", "base.wet", "base.frozen"}
    for code in own:
        for language in languages():
            short, whole = (sentences(language)[c] for c in (f"draft.{code}", f"call.{code}.line"))
            assert len(short) < len(whole)


def test_each_is_asked_what_is_theirs() -> None:
    site = busy()
    call = next(c for c in ask(site, "now")["calls"] if c["code"] == "load.temperature")

    def asked(*to: str) -> str:
        body = ask(site, "tell", call=call["id"], to=list(to))
        assert body["to"] == list(to)
        return str(body["text"]).partition("Taken. ")[2]

    assert asked("pia") == "Please look into it at the plant and say what you find."
    assert asked("cole") == asked("somebody") == asked()
    assert asked() == "Please say what you make of it, and what follows."
    assert asked("greta").startswith("For you to know;")
    assert asked("pia", "cole", "ana") == (
        "Pia Holt: Please look into it at the plant and say what you find. "
        "Cole Reed, Ana Vale: Please say what you make of it, and what follows."
    )
    with pytest.raises(Refused, match="it must be a list of texts"):
        ask(site, "tell", call=call["id"], to="pia")


def told_of(site: Site, name: str, **arguments: Any) -> Any:
    return next(row for row in ask(site, "told", **arguments) if row["id"] == name)


SENT = {
    "entry": "",
    "person": "pia",
    "how": "mail",
    "state": "sent",
    "at": "2026-05-12T10:31:00+00:00",
}


def test_what_became_of_a_notice_is_beside_it_and_in_the_shifts_own_time() -> None:
    site = busy()
    load = site.load("108", 5, place=on("E", "binder", end=310))
    told = site.write("notice", {"to": ["pia", "eve"], "how": "mail", "text": "Cold.",
                                 "about": [load.id]}, 20)  # fmt: skip
    assert told_of(site, told.id)["sent"] == ""
    sendings: list[dict[str, Any]] = [
        {**SENT, "entry": told.id, "tries": 1},
        {**SENT, "entry": told.id, "person": "eve", "state": "refused", "why": "not-in-plan"},
        {**SENT, "entry": "another"},
    ]
    row = told_of(site, told.id, sendings=sendings)
    assert row["sent"] == (
        "Pia Holt: sent 07:31; "
        "eve: not sent 07:31 (not among the people in the plan: tell them yourself)"
    )
    assert row["after"] == "15 min"
    waits = [{**sendings[0], "state": "waiting", "why": "said-no", "said": "451"}]
    assert told_of(site, told.id, sendings=waits, language="es")["sent"] == (
        "Pia Holt: en espera de envío 07:31 (el otro lado respondió 451)"
    )
    entry = ask(site, "entry", id=told.id, sendings=sendings)["told"]
    assert entry["sent"][0] == "Pia Holt: sent 07:31"
    assert entry["times"] == "Told 15 min after it was seen, no answer for 3 h 40 min"
    assert ask(site, "entry", id=load.id)["told"] is None


@pytest.mark.parametrize(
    "wrong",
    [
        "text",
        [1],
        [{**SENT, "state": "lost"}],
        [{**SENT, "why": "whim"}],
        [{**SENT, "tries": "1"}],
        [{**SENT, "at": "noon"}],
    ],
)
def test_what_is_not_as_the_server_tells_it_is_refused(wrong: Any) -> None:
    with pytest.raises(Refused, match="sendings is"):
        ask(busy(), "told", sendings=wrong)
