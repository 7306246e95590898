"""What is kept out: pages from elsewhere, names that aren't ours, bodies too long, too many."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path

import pytest

from matbook.server.guard import HEADERS, named
from matbook.server.house import Limits, Serving
from matbook.server.rates import MOST_NAMES, Rates
from tests.server.conftest import paired
from tests.server.house import AWAY, MANY, PATIENT, Asking, Served, code_of
from tests.store.books import notes

JSON = {"Content-Type": "application/json"}


@pytest.mark.parametrize(
    "host",
    [
        "evil.example.org:8417",
        "localhost:1",
        "localhost",
        "127.0.0.1",
        "",
        "localhost.evil.org:8417",
    ],
)
@pytest.mark.parametrize("path", ["/api/health", "/api/jobs", "/"])
def test_a_name_that_points_here_is_not_ours(unmoved: Served, host: str, path: str) -> None:
    assert code_of(unmoved.me.get(path, headers={"Host": host})) == (421, "host")


@pytest.mark.parametrize(
    "host", ["localhost:8417", "127.0.0.1:8417", "[::1]:8417", "LOCALHOST:8417"]
)
def test_every_name_of_this_machine_is_answered(unmoved: Served, host: str) -> None:
    assert unmoved.me.get("/api/health", headers={"Host": host}).status_code == 200


ELSEWHERE = [
    {"Origin": "https://evil.example.org"},
    {"Origin": "null"},
    {"Origin": "http://localhost:3000"},
    {"Origin": "https://localhost:8417"},
    {"Sec-Fetch-Site": "cross-site"},
    {"Sec-Fetch-Site": "same-site"},
    {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "iframe"},
]


@pytest.mark.parametrize("headers", ELSEWHERE)
@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/api/jobs"),
        ("GET", "/api/jobs/ridge/entries"),
        ("POST", "/api/jobs/ridge/entries"),
        ("POST", "/api/pairing"),
        ("DELETE", "/api/devices/phone-1"),
        ("PUT", f"/api/jobs/ridge/attachments/{'0' * 64}"),
        ("OPTIONS", "/api/jobs/ridge/entries"),
        ("GET", "/metrics"),
        ("GET", "/"),
    ],
)
def test_a_page_from_elsewhere_can_do_nothing(
    unmoved: Served, method: str, path: str, headers: dict[str, str]
) -> None:
    before = list(unmoved.house.store.entries("ridge"))
    [(digest, text)] = [next(notes())]
    body = {"entries": [{"hash": digest, "text": text}]} if method == "POST" else None
    answer = unmoved.me.send(method, path, headers=headers, json=body)
    assert code_of(answer) == (403, "origin")
    assert not [name for name in answer.headers if name.startswith("access-control")]
    assert list(unmoved.house.store.entries("ridge")) == before


def test_the_app_itself_may_ask(unmoved: Served) -> None:
    own = {"Origin": "http://localhost:8417", "Sec-Fetch-Site": "same-origin"}
    assert unmoved.me.get("/api/jobs", headers=own).status_code == 200


def test_somebody_may_follow_a_link_to_the_app_but_not_to_the_api(unmoved: Served) -> None:
    link = {
        "Sec-Fetch-Site": "cross-site",
        "Sec-Fetch-Mode": "navigate",
        "Sec-Fetch-Dest": "document",
    }
    assert unmoved.me.get("/", headers=link).status_code == 200
    assert code_of(unmoved.me.get("/api/jobs", headers=link)) == (403, "origin")


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "", "json"]
)
def test_only_json_is_taken(unmoved: Served, kind: str) -> None:
    answer = unmoved.me.send(
        "POST", "/api/jobs/ridge/entries", content=b'{"entries":[]}', headers={"Content-Type": kind}
    )
    assert code_of(answer) == (415, "type")


def test_json_with_its_character_set_is_json(here: Served) -> None:
    kind = {"Content-Type": "Application/JSON; charset=utf-8"}
    answer = here.me.send(
        "POST", "/api/jobs/ridge/entries", content=b'{"entries":[]}', headers=kind
    )
    assert answer.status_code == 200


def test_a_body_that_is_too_long_is_not_read_to_its_end(unmoved: Served) -> None:
    read = 0

    async def endless() -> "Iterator[bytes]":  # type: ignore[misc]
        nonlocal read
        for _ in range(100):
            read += 1 << 20
            yield b" " * (1 << 20)

    answer = unmoved.me.send("POST", "/api/jobs/ridge/entries", content=endless(), headers=JSON)
    assert code_of(answer) == (413, "too-large")
    assert read <= 6 << 20
    said = unmoved.me.send(
        "POST", "/api/jobs/ridge/entries", content=b" " * ((4 << 20) + 1), headers=JSON
    )
    assert code_of(said) == (413, "too-large")


@pytest.mark.parametrize("raw", [b"{", b"\xff\xfe", b"[" * 100_000, b'{"entries": NaN}', b"null"])
def test_a_body_that_is_no_json_is_refused_in_words(unmoved: Served, raw: bytes) -> None:
    answer = unmoved.me.send("POST", "/api/jobs/ridge/entries", content=raw, headers=JSON)
    assert answer.status_code in (400, 422)
    assert code_of(answer)[1] in ("bad-request", "refused")


@pytest.mark.parametrize("path", ["/", "/api/health", "/api/nothing", "/api/jobs/ridge/entries"])
def test_every_answer_carries_the_headers(unmoved: Served, path: str) -> None:
    for headers in ({}, {"Origin": "null"}):
        answer = unmoved.me.get(path, headers=headers)
        for name, value in HEADERS:
            assert answer.headers[name] == value
    assert ("no-store" in answer.headers.get("cache-control", "")) == path.startswith("/api")


def test_methods_that_a_route_does_not_take_are_refused(unmoved: Served) -> None:
    for method in ("PUT", "PATCH", "DELETE", "TRACE", "OPTIONS"):
        assert code_of(unmoved.me.send(method, "/api/jobs")) == (405, "method")


# Off loopback


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Authorization": "Bearer"},
        {"Authorization": "Bearer " + "x" * 43},
        {"Authorization": "Basic " + "x" * 43},
        {"Authorization": "Bearer " + "x" * 10_000},
    ],
)
@pytest.mark.parametrize(
    "path", ["/api/me", "/api/jobs", "/api/jobs/ridge/entries", "/api/devices"]
)
def test_without_a_token_nothing_is_told(
    unmoved_away: Served, path: str, headers: dict[str, str]
) -> None:
    answer = unmoved_away.me.get(path, headers=headers)
    assert code_of(answer) == (401, "no-account")
    assert answer.headers["www-authenticate"] == "Bearer"
    assert "ridge" not in answer.text


def test_without_a_token_a_body_is_not_even_read(unmoved_away: Served) -> None:
    read = 0

    async def body() -> "Iterator[bytes]":  # type: ignore[misc]
        nonlocal read
        read += 1
        yield b"{}"

    answer = unmoved_away.me.send("POST", "/api/jobs/ridge/entries", content=body(), headers=JSON)
    assert code_of(answer) == (401, "no-account")
    assert read == 0


def test_a_token_opens_and_a_revoked_one_does_not(away: Served) -> None:
    phone = paired(away, "ana", "inspector")
    assert phone.get("/api/me").json()["person"] == "ana"
    assert away.house.store.revoke("ridge", "phone-1", "2026-05-12T13:00:00-03:00")
    assert code_of(phone.get("/api/me")) == (401, "no-account")


def test_the_health_and_the_app_are_there_for_phones_that_are_not_paired_yet(
    unmoved_away: Served,
) -> None:
    assert unmoved_away.me.get("/api/health").json()["up"]
    assert unmoved_away.me.get("/").status_code == 200


def test_phones_are_told_to_stay_with_https(unmoved_away: Served, tmp_path: Path) -> None:
    assert "max-age" in unmoved_away.me.get("/").headers["strict-transport-security"]


@pytest.fixture
def proxied(tmp_path: Path) -> Iterator[Served]:
    serving = Serving(
        "https://book.example.org",
        frozenset({"book.example.org"}),
        accounts=True,
        proxied=True,
        limits=replace(PATIENT, address_rate=(3, 0.001)),
    )
    served = Served(tmp_path / "home", serving)
    yield served
    served.close()


def test_behind_a_proxy_only_https_is_taken(proxied: Served) -> None:
    https = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.1"}
    assert proxied.me.get("/api/health", headers=https).status_code == 200
    for headers in ({}, {"X-Forwarded-Proto": "http"}):
        assert code_of(proxied.me.get("/api/health", headers=headers)) == (403, "https-only")
    local = https | {"Host": "localhost:8417"}
    assert code_of(proxied.me.get("/api/jobs", headers=local)) == (421, "host")
    own = https | {"Origin": "https://book.example.org"}
    assert code_of(proxied.me.get("/api/jobs", headers=own)) == (401, "no-account")


def test_behind_a_proxy_addresses_are_those_that_the_proxy_saw(proxied: Served) -> None:
    def ask(addresses: str) -> int:
        headers = {"X-Forwarded-Proto": "https", "X-Forwarded-For": addresses}
        return proxied.me.get("/api/health", headers=headers).status_code

    made_up = [ask(f"198.51.100.{n}, 203.0.113.7") for n in range(5)]
    assert made_up == [200, 200, 200, 429, 429]
    assert ask("203.0.113.8") == 200


# How often


def test_a_device_that_asks_too_often_is_told_how_long_to_wait(tmp_path: Path) -> None:
    limits = replace(PATIENT, device_rate=(3, 0.5))
    served = Served(tmp_path / "home", replace(AWAY, limits=limits)).with_plan()
    one, other = paired(served, "ana", "inspector"), paired(served, "tom", "technician", "phone-2")
    assert [one.get("/api/me").status_code for _ in range(4)] == [200, 200, 200, 429]
    answer = one.get("/api/me")
    assert code_of(answer) == (429, "too-often")
    assert int(answer.headers["retry-after"]) == 2
    assert other.get("/api/me").status_code == 200
    served.close()


def test_whoever_guesses_codes_is_soon_stopped(tmp_path: Path) -> None:
    limits = Limits(device_rate=MANY, address_rate=MANY)
    served = Served(tmp_path / "home", replace(AWAY, limits=limits)).with_plan()
    claim = {"code": "00-0000-0000", "device": "phone-9"}
    tried = [served.me.post("/api/pair", claim).status_code for _ in range(7)]
    assert tried == [403] * 5 + [429] * 2
    served.close()


def test_when_many_push_at_once_some_are_asked_to_come_again(tmp_path: Path) -> None:
    served = Served(tmp_path / "home", Serving(limits=replace(PATIENT, pushes=2))).with_plan()
    chains = [list(islice(notes(device=f"phone-{n:05d}"), 100)) for n in range(12)]
    bodies = [{"entries": [{"hash": h, "text": t} for h, t in chain]} for chain in chains]
    left, rounds = list(range(12)), 0
    while left:
        answers = served.client.all_at_once(
            "POST", "/api/jobs/ridge/entries", [bodies[n] for n in left]
        )
        busy = [n for n, answer in zip(left, answers, strict=True) if answer.status_code == 503]
        for answer in answers:
            if answer.status_code == 503:
                assert code_of(answer) == (503, "busy")
                assert 1 <= int(answer.headers["retry-after"]) <= 12
        assert len(busy) < len(left), "somebody gets through each time"
        left, rounds = busy, rounds + 1
    assert rounds > 1
    assert served.house.store.cursor("ridge") == 1 + 12 * 100
    served.close()


def test_who_is_told_to_come_again_is_heard_out_first_or_would_not_hear_it(tmp_path: Path) -> None:
    served = Served(tmp_path / "home", Serving(limits=replace(PATIENT, pushes=0))).with_plan()
    parts = 0

    async def body() -> "Iterator[bytes]":  # type: ignore[misc]
        nonlocal parts
        for _ in range(3):
            parts += 1
            yield b" " * 1000

    answer = served.me.send("POST", "/api/jobs/ridge/entries", content=body(), headers=JSON)
    assert code_of(answer) == (503, "busy")
    assert answer.headers["retry-after"] == "1"
    assert parts == 3
    served.close()


def test_a_bucket_fills_again_and_forgets_the_quiet() -> None:
    now = 0.0
    rates = Rates((2, 1), lambda: now)
    assert [rates.wait_s("a") for _ in range(3)] == [0, 0, 1]
    now = 1.5
    assert [rates.wait_s("a") for _ in range(2)] == [0, 0.5]
    for number in range(MOST_NAMES):
        rates.wait_s(f"name {number}")
    assert rates.wait_s("a") == 0


def test_a_star_in_a_certificate_stands_for_one_label() -> None:
    assert named("a.example.org:8417", "*.example.org:8417")
    for host in ("example.org:8417", "a.b.example.org:8417", ".example.org:8417"):
        assert not named(host, "*.example.org:8417")


# Metrics


def test_what_was_counted_is_for_this_machine_alone(here: Served, away: Served) -> None:
    here.me.push([next(notes())])
    text = here.me.get("/metrics").text
    assert 'matbook_entries_total{state="kept"} 1.0' in text
    assert 'route="/api/jobs/{job}/entries"' in text
    assert code_of(here.me.get("/metrics", headers={"X-Forwarded-For": "1.2.3.4"}))[0] == 403
    assert code_of(away.me.get("/metrics")) == (403, "machine-only")
    assert code_of(here.me.get("/metrics", headers={"Host": "evil.org:8417"})) == (421, "host")


def test_asking_for_the_api_by_another_spelling_gets_nobody_in(unmoved_away: Served) -> None:
    for path in (
        "//api/jobs",
        "/API/jobs",
        "/api//jobs",
        "/api/jobs/",
        "/api/%6aobs",
        "/./api/jobs",
    ):
        answer = Asking(unmoved_away.client).get(path)
        assert "ridge" not in answer.text
        assert answer.status_code in (200, 401, 404), path
        if answer.status_code == 200:
            assert answer.headers["content-type"].startswith("text/html"), path
