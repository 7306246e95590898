"""Every cell of the table of roles, asked of the real routes; and what travels to whom."""

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from fastapi.routing import APIRoute
from httpx import Response

from matbook.book.kinds import kinds
from matbook.desk import roles as core
from matbook.server.guard import OPEN
from matbook.server.roles import ROLES, ROUTES, may_ask, may_see, may_write
from matbook.server.who import OWNER
from tests.scribe import SHIFT, Scribe
from tests.server.conftest import paired
from tests.server.house import AWAY, PATIENT, Asking, Served, code_of
from tests.store.books import pair, pairs

PEOPLE = {"inspector": "ana", "technician": "tom", "supervisor": "sam", "contractor": "dale"}
PHOTO = b"%PDF-1.7\nan invented scan"


class Crew:
    """A server with a closed shift, and a device for every role."""

    def __init__(self, folder: Path) -> None:
        self.served = Served(folder / "home", replace(AWAY, limits=PATIENT)).with_plan()
        scribe = Scribe("notes", "ana")
        digest = hashlib.sha256(PHOTO).hexdigest()
        self.entries = [
            scribe.write("shift-open", {}, -20),
            scribe.write("photo", {"file": digest}, 1),
            scribe.write("load", {"plant": "hill", "ticket": "1", "net": "22.00 t"}, 5),
            scribe.write("notice", {"to": ["dale"], "text": "Mix at 105 °C."}, 6),
            scribe.write("shift-close", {}, 60),
        ]
        self.served.house.store.append(pairs(self.entries), "2026-05-12T09:00:00-03:00")
        self.served.house.store.attach(PHOTO)
        self.photo = f"/api/jobs/ridge/attachments/{digest}"
        self.devices = {
            role: paired(self.served, PEOPLE[role], role, f"phone-{role}") for role in ROLES
        }


@pytest.fixture(scope="module")
def crew(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Crew]:
    made = Crew(tmp_path_factory.mktemp("crew"))
    yield made
    made.served.close()


def asked(crew: Crew, role: str, route: str) -> Response:
    """The route, asked in a role as the app would ask it."""
    method, path = route.split(" ")
    digest = crew.photo.rpartition("/")[2]
    path = path.replace("{job}", "ridge").replace("{sha256}", digest).replace("{question}", "now")
    path = path.replace("{date}/{crew}/{part}", SHIFT.partition("/")[2])
    path = path.replace("{device}", "phone-unknown")
    bodies: dict[str, Any] = {
        "POST /api/jobs/{job}/entries": {"entries": []},
        "POST /api/jobs/{job}/ask/{question}": {},
        "POST /api/pairing": {"job": "ridge", "person": "ana", "role": "inspector"},
        "POST /api/pair": {"code": "00-0000-0000", "device": "phone-9"},
    }
    if route.startswith("PUT"):
        headers = {
            "Content-Type": "application/octet-stream",
            "Content-Range": f"bytes 0-{len(PHOTO) - 1}/{len(PHOTO)}",
        }
        return crew.devices[role].put(path, PHOTO, headers)
    if route.endswith("/changes"):  # a stream without end: whether it begins is asked of HEAD's kin
        path = path.replace("ridge", "vale")
    return crew.devices[role].send(method, path, json=bodies.get(route))


@pytest.mark.parametrize(("route", "role"), list(product(ROUTES, ROLES)))
def test_each_cell_of_the_table_holds(crew: Crew, route: str, role: str) -> None:
    answer = asked(crew, role, route)
    refused = answer.status_code == 403 and answer.json()["error"]["code"] == "role"
    assert refused == (role not in ROUTES[route]), answer.text[:300]
    if not refused:
        expected = {
            "GET /api/jobs/{job}/changes": {403},  # let in by role, and turned away by job
            "POST /api/pair": {403},  # let in by role, and the code is wrong
            "DELETE /api/devices/{device}": {404},
            **{one: {200, 409} for one in ROUTES if "attachments" in one},
        }
        assert answer.status_code in expected.get(route, {200}), answer.text[:300]


def test_every_route_is_in_the_table_and_the_other_way_round(crew: Crew) -> None:
    routes = {
        f"{method} {route.path}"
        for route in all_routes(crew.served.app.app.routes)
        for method in route.methods or ()
        if route.path.startswith("/api/")
    }
    assert routes == set(ROUTES)
    assert {route.partition(" ")[2] for route in ROUTES} >= OPEN - {"/api/openapi.json"}


def all_routes(routes: Any) -> Iterator[APIRoute]:
    for route in routes:
        if isinstance(route, APIRoute):
            yield route
        elif inner := getattr(getattr(route, "original_router", None), "routes", None):
            yield from all_routes(inner)


@pytest.mark.parametrize(("role", "kind"), list(product(ROLES, kinds())))
def test_each_kind_is_taken_from_those_who_write_it(crew: Crew, role: str, kind: str) -> None:
    device = f"phone-{role}"
    scribe = Scribe(device, PEOPLE[role])
    [receipt] = crew.devices[role].push([pair(scribe.write(kind, {"n": kind}))])["receipts"]
    allowed = role in kinds()[kind].writers
    assert receipt["state"] == ("kept" if allowed else "refused")
    if not allowed:
        assert f"may not write “{kind}”" in receipt["reason"]
        assert receipt["hash"] in {q.hash for q in crew.served.house.store.quarantined("ridge")}


def test_a_newer_kind_is_taken_from_ours_and_not_from_the_contractor() -> None:
    assert [role for role in ROLES if may_write(role, "newer-kind")] == list(ROLES[:3])


def test_whoever_is_at_the_machine_may_all() -> None:
    assert may_write(OWNER, "seal")
    assert may_ask(OWNER, "plan")


@pytest.mark.parametrize("role", ROLES)
def test_questions_are_answered_to_those_who_may_ask(crew: Crew, role: str) -> None:
    asks_more = {"entry", "figure", "judge", "tell", "ahead", "mat_at", "lot"}
    asks_more |= {"schedule", "risk", "draw", "trucks"}
    for question in sorted(core.views_for("supervisor") - asks_more):
        answer = crew.devices[role].get(f"/api/jobs/ridge/ask/{question}")
        assert (answer.status_code == 403) == (question not in core.views_for(role)), question
        assert answer.status_code in (200, 403), answer.text[:200]


def test_a_role_can_not_be_claimed(crew: Crew) -> None:
    answer = crew.devices["contractor"].get("/api/jobs/ridge/ask/handover?role=supervisor")
    assert code_of(answer) == (403, "role")


def test_what_a_contractor_may_not_see_travels_as_a_hash(crew: Crew) -> None:
    mine = crew.devices["contractor"].pull()["entries"]
    all_of_it = crew.devices["supervisor"].pull()["entries"]
    assert [e["hash"] for e in mine] == [e["hash"] for e in all_of_it]
    with_text = {e["hash"]: "text" in e for e in mine}
    photo, load, notice = (e.hash for e in crew.entries[1:4])
    assert (with_text[photo], with_text[load], with_text[notice]) == (False, False, True)
    held = [e for e in mine if "text" not in e]
    assert held
    assert all(set(e) == {"cursor", "hash", "received", "withheld"} for e in held)
    with crew.served.app.here.shelf.job("ridge").read() as book:
        for entry in book.entries:
            assert with_text[entry.hash] == may_see("contractor", entry, book)
    assert {e["hash"] for e in all_of_it if "text" not in e} == set()


def test_an_attachment_goes_to_those_who_may_see_its_entry(crew: Crew) -> None:
    assert crew.devices["technician"].get(crew.photo).content == PHOTO
    assert code_of(crew.devices["contractor"].get(crew.photo)) == (409, "not-named")


def test_another_job_is_not_for_this_device(crew: Crew) -> None:
    for path in ("entries", "ask/now", f"attachments/{'0' * 64}", "shifts/2026-05-12/a/day/record"):
        answer = crew.devices["supervisor"].get(f"/api/jobs/vale/{path}")
        assert code_of(answer) == (403, "other-job"), path
    assert [j["job"] for j in crew.devices["inspector"].get("/api/jobs").json()["jobs"]] == [
        "ridge"
    ]


# Who wrote it


def flag_of(asking: Asking, scribe: Scribe) -> str:
    entry = scribe.write("note", {"text": scribe.pen.by}, 9)
    [receipt] = asking.push([pair(entry)])["receipts"]
    assert receipt["state"] == "kept"
    [pulled] = [e for e in asking.pull()["entries"] if e["hash"] == entry.hash]
    assert pulled.get("flag") == receipt.get("flag")
    return str(receipt.get("flag", ""))


def test_an_entry_in_another_name_is_kept_and_flagged(away: Served) -> None:
    phone = paired(away, "ana", "inspector")
    assert flag_of(phone, Scribe("phone-1", "ana")) == ""
    assert "Written as “bo”, on the device of ana" in flag_of(phone, Scribe("phone-1", "bo"))
    handed_on = flag_of(phone, Scribe("phone-7", "tom"))
    assert "Handed on by ana (phone-1)" in handed_on


def test_what_was_here_before_is_not_refused_to_whoever_hands_it_on(away: Served) -> None:
    load = pair(Scribe("phone-1", "ana").write("load", {"ticket": "1"}))
    dale = paired(away, "dale", "contractor", "phone-2")
    paired(away, "ana", "inspector").push([load])
    assert dale.push([load])["receipts"][0]["state"] == "had"
