"""Pairing: one code, one device, ten minutes, five tries; tokens kept as hashes."""

import sqlite3
import time
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric import ec

from matbook.book.entry import canonical
from matbook.seal.keys import InstallationKey, pack
from matbook.server import codes, pairing
from matbook.server.who import token_digest
from matbook.store.sqlite import VERSION
from tests.scribe import Scribe
from tests.server.conftest import paired
from tests.server.house import Asking, Served, code_of
from tests.store.books import pair, pairs


def claim(
    served: Served, code: str, device: str = "phone-1", key: object = None
) -> tuple[int, str]:
    answer = served.me.post("/api/pair", {"code": code, "device": device, "key": key})
    return (200, answer.json()["token"]) if answer.status_code == 200 else code_of(answer)


def new_code(served: Served, person: str = "ana", role: str = "inspector") -> str:
    return pairing.new_pairing(served.house, "ridge", person, role)[0]


def test_a_code_makes_a_device_of_its_person_job_and_role(away: Served) -> None:
    phone = paired(away, "ana", "technician")
    assert phone.get("/api/me").json() == {
        "account": True,
        "device": "phone-1",
        "person": "ana",
        "role": "technician",
        "job": "ridge",
        "name": "Ana Berg",
    }


def test_a_code_may_be_typed_as_people_type(away: Served) -> None:
    code = new_code(away)
    typed = f" {code[:2].lower()} {code[2:]} ".replace("0", "o").replace("1", "l")
    assert claim(away, typed)[0] == 200


def test_a_code_is_good_once(away: Served) -> None:
    code = new_code(away)
    assert claim(away, code)[0] == 200
    assert claim(away, code, "phone-2") == (403, "code")


def test_a_code_is_good_for_ten_minutes(away: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    began, first, second = time.time(), new_code(away), new_code(away)
    monkeypatch.setattr(time, "time", lambda: began + 599)
    assert claim(away, first)[0] == 200
    monkeypatch.setattr(time, "time", lambda: began + 660)
    assert claim(away, second, "phone-2") == (403, "code")


def test_five_wrong_tries_spend_a_code(away: Served) -> None:
    code, other = new_code(away), new_code(away)
    wrong = code[:2] + ("0" if code[2] != "0" else "1") + code[3:]
    for _ in range(4):
        assert claim(away, wrong) == (403, "code")
    assert claim(away, code)[0] == 200, "the fifth may still be right"
    wrong = other[:2] + ("0" if other[2] != "0" else "1") + other[3:]
    for _ in range(5):
        assert claim(away, wrong, "phone-2") == (403, "code")
    assert claim(away, other, "phone-2") == (403, "code")


def test_a_code_holds_forty_bits_beside_its_name() -> None:
    assert len(codes.LETTERS) ** codes.SECRET >= 2**40
    assert not set("ILOU") & set(codes.LETTERS)
    assert len({codes.new_code() for _ in range(200)}) == 200


@pytest.mark.parametrize("code", ["", "no", "00-0000-000", "ÄÖ-0000-0000", "0" * 40])
def test_what_can_be_no_code_is_refused_in_the_same_words(away: Served, code: str) -> None:
    assert claim(away, code) == (403, "code")


def test_a_device_in_another_hand_is_not_taken_over(away: Served) -> None:
    paired(away, "ana", "inspector")
    code = new_code(away, "dale", "contractor")
    assert claim(away, code, "phone-1") == (403, "code")
    assert claim(away, code, "phone-3")[0] == 200, "the code was not used up"


def test_a_device_that_pairs_again_has_a_new_token_and_the_old_one_is_done(away: Served) -> None:
    old, new = paired(away, "ana", "inspector"), paired(away, "ana", "inspector")
    assert code_of(old.get("/api/me")) == (401, "no-account")
    assert new.get("/api/me").status_code == 200


def test_a_person_who_is_not_in_the_plan_gets_no_code(away: Served) -> None:
    boss = paired(away, "sam", "supervisor")
    wanted = {"job": "ridge", "person": "nobody", "role": "inspector"}
    answer = boss.post("/api/pairing", wanted)
    assert code_of(answer) == (422, "refused")
    assert "ana" in answer.json()["error"]["allowed"]
    assert code_of(boss.post("/api/pairing", wanted | {"role": "king"}))[0] == 422
    assert code_of(boss.post("/api/pairing", wanted | {"job": "vale"})) == (403, "other-job")


def test_a_supervisor_makes_codes_and_turns_devices_away(away: Served) -> None:
    boss = paired(away, "sam", "supervisor")
    made = boss.post("/api/pairing", {"job": "ridge", "person": "ana", "role": "inspector"}).json()
    assert made["qr"].startswith("<svg")
    assert made["address"] == "https://book.example.org:8417"
    assert codes.read_code(made["code"])
    status, token = claim(away, made["code"], "phone-2")
    assert status == 200
    phone = Asking(away.client, token)
    assert [d["device"] for d in boss.get("/api/devices").json()["devices"]] == [
        "phone-1",
        "phone-2",
    ]
    listed = boss.send("DELETE", "/api/devices/phone-2").json()["devices"]
    assert [bool(d["revoked"]) for d in listed] == [False, True]
    assert code_of(phone.get("/api/jobs")) == (401, "no-account")
    assert code_of(boss.send("DELETE", "/api/devices/phone-2")) == (404, "not-found")
    assert code_of(boss.send("DELETE", "/api/devices/phone-7")) == (404, "not-found")


def test_no_token_and_no_code_is_in_the_files(away: Served) -> None:
    code = new_code(away)
    token = paired(away, "ana", "inspector").headers["Authorization"].removeprefix("Bearer ")
    away.house.store.close()
    raw = b"".join(path.read_bytes() for path in away.home.rglob("*") if path.is_file())
    assert token_digest(token) in raw
    for secret in (token, code, code[2:], codes.shown(code)):
        assert secret.encode() not in raw


def test_a_name_is_given_to_one_open_pairing_only(away: Served) -> None:
    made = {new_code(away)[:2] for _ in range(60)}
    assert len(made) == 60


# Keys and signed heads


def jwk(key: ec.EllipticCurvePrivateKey) -> dict[str, str]:
    numbers = key.public_key().public_numbers()
    return {
        "kty": "EC",
        "crv": "P-256",
        "x": pack(numbers.x.to_bytes(32)),
        "y": pack(numbers.y.to_bytes(32)),
    }


def test_a_device_signs_its_head_and_the_signature_is_kept(away: Served) -> None:
    private = ec.generate_private_key(ec.SECP256R1())
    own = InstallationKey(private)
    status, token = claim(away, new_code(away), key=jwk(private))
    assert status == 200
    phone, scribe = Asking(away.client, token), Scribe()
    entries = [scribe.write("note", {"text": f"{n}"}, n) for n in range(3)]
    head = {
        "device": "phone-1",
        "seq": 3,
        "hash": entries[-1].hash,
        "at": "2026-05-12T09:00:00-03:00",
    }
    signature = own.sign(canonical({"job": "ridge", **head}))
    pushed = phone.push(pairs(entries), signed={**head, "signature": signature})
    assert pushed["signed"] == "kept"
    [kept] = away.house.store.signed_heads("ridge")
    assert (kept.seq, kept.hash, kept.key) == (3, entries[-1].hash, own.public_text)

    later = scribe.write("note", {"text": "later"}, 5)
    forged = {**head, "seq": 4, "hash": later.hash, "signature": signature}
    pushed = phone.push([pair(later)], signed=forged)
    assert "does not hold" in pushed["signed"]
    assert pushed["receipts"][0]["state"] == "kept", "the entry is kept all the same"
    assert len(away.house.store.signed_heads("ridge")) == 1
    other = {**forged, "device": "phone-2"}
    assert "its own head" in phone.push([], signed=other)["signed"]


def test_a_point_that_is_not_on_the_curve_is_no_key(away: Served) -> None:
    bad = {"kty": "EC", "crv": "P-256", "x": pack(bytes(32)), "y": pack(bytes(32))}
    assert claim(away, new_code(away), key=bad) == (422, "refused")
    assert claim(away, new_code(away), key={**bad, "x": "="}) == (422, "refused")


def test_on_loopback_there_is_no_account(here: Served) -> None:
    assert here.me.get("/api/me").json() == {
        "account": False,
        "device": None,
        "person": None,
        "role": "owner",
        "job": None,
        "name": None,
    }
    made = here.me.post("/api/pairing", {"job": "ridge", "person": "ana", "role": "inspector"})
    assert made.status_code == 200
    assert here.me.get("/api/devices").json() == {"devices": []}


def test_a_store_from_before_there_were_devices_is_taken_along(tmp_path: Path) -> None:
    served = Served(tmp_path / "home").with_plan()
    before = list(served.house.store.entries("ridge"))
    served.close()
    path = tmp_path / "home" / "books.sqlite"
    older = sqlite3.connect(path)
    for table in ("flag", "device", "pairing", "signed_head", "outbox", "outbox_read"):
        older.execute(f"DROP TABLE {table}")
    older.execute("UPDATE alembic_version SET version_num = '0001'")
    older.execute("PRAGMA user_version = 1")
    older.commit()
    older.close()
    served.open()
    assert list(served.house.store.entries("ridge")) == before
    paired(served, "ana", "inspector")
    served.close()
    newer = sqlite3.connect(path)
    assert newer.execute("PRAGMA user_version").fetchone() == (VERSION,)
    newer.close()
