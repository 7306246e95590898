"""What every store promises of a crew's devices, and of remarks on entries, of each kind alike."""

from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import pytest

from matbook.store.accounts import TRIES, Device, Pairing, SignedHead
from matbook.store.contract import Receipt, Remark, Store
from matbook.store.memory import MemoryStore
from matbook.store.sqlite import open_store
from tests.store.books import NOW, notes

NOBODY = Device("", "phone-1", "", "", "", b"\1" * 32, NOW)
CODE = Pairing("ridge", "7K", b"\7" * 32, "ana", "inspector", 1000)


@pytest.fixture(params=["memory", "sqlite"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    with MemoryStore() if request.param == "memory" else open_store(tmp_path / "book") as store:
        yield store


def test_a_code_makes_a_device_once(store: Store) -> None:
    assert store.invite(CODE, 0)
    made = store.redeem("7K", CODE.proof, 999, NOBODY)
    assert made == NOBODY._replace(job="ridge", person="ana", role="inspector")
    assert store.device_of(NOBODY.token) == made
    assert store.devices() == store.devices("ridge") == [made]
    assert store.devices("vale") == []
    assert store.redeem("7K", CODE.proof, 999, NOBODY) is None


def test_a_code_ends(store: Store) -> None:
    assert store.invite(CODE, 0)
    assert store.redeem("7K", CODE.proof, 1000, NOBODY) is None
    assert store.redeem("7K", CODE.proof, 999, NOBODY) is not None


def test_wrong_tries_spend_a_code(store: Store) -> None:
    assert store.invite(CODE, 0)
    for _ in range(TRIES):
        assert store.redeem("7K", b"\0" * 32, 1, NOBODY) is None
    assert store.redeem("7K", CODE.proof, 1, NOBODY) is None
    assert store.redeem("none", CODE.proof, 1, NOBODY) is None
    assert store.devices() == []


def test_a_name_is_in_use_until_its_code_ends_or_is_spent(store: Store) -> None:
    other = CODE._replace(person="bo", expires=5000)
    assert store.invite(CODE, 0)
    assert not store.invite(other, 999)
    assert store.invite(other, 1000)
    for _ in range(TRIES):
        store.redeem("7K", b"\0" * 32, 1001, NOBODY)
    assert store.invite(CODE._replace(expires=6000), 1002)


def test_a_device_stays_with_its_person(store: Store) -> None:
    store.invite(CODE, 0)
    store.redeem("7K", CODE.proof, 1, NOBODY)
    store.invite(CODE._replace(person="bo"), 1)
    again = NOBODY._replace(token=b"\2" * 32)
    assert store.redeem("7K", CODE.proof, 2, again) is None
    assert store.redeem("7K", CODE.proof, 2, again._replace(device="phone-2")) is not None
    store.invite(CODE, 3)
    assert store.redeem("7K", CODE.proof, 4, again._replace(token=b"\3" * 32)) is not None
    assert store.device_of(NOBODY.token) is None, "the token from before is done"


def test_a_device_is_turned_away_once(store: Store) -> None:
    store.invite(CODE, 0)
    store.redeem("7K", CODE.proof, 1, NOBODY)
    assert not store.revoke("vale", "phone-1", NOW)
    assert store.revoke("ridge", "phone-1", NOW)
    assert not store.revoke("ridge", "phone-1", "later")
    assert store.device_of(NOBODY.token) is None
    assert [device.revoked for device in store.devices()] == [NOW]


def test_the_first_signature_of_a_head_stays(store: Store) -> None:
    store.append(list(islice(notes(), 2)), NOW)
    head = SignedHead("ridge", "phone-1", 2, "ab" * 32, NOW, "key", "signature", NOW)
    for one in (head, head._replace(signature="another"), head._replace(seq=1, hash="cd" * 32)):
        store.keep_head(one)
    assert store.signed_heads("ridge") == [head._replace(seq=1, hash="cd" * 32), head]
    assert store.signed_heads("vale") == []


def test_flags_lie_beside_entries_that_were_kept(store: Store) -> None:
    chain = list(islice(notes(), 5))
    flagged = {chain[1][0]: Remark("look"), chain[3][0]: Remark("here")}
    store.append(chain[:4], NOW, flagged)
    store.append(chain, NOW, dict.fromkeys((digest for digest, _ in chain), Remark("again")))
    assert store.flags("ridge") == {2: "look", 4: "here", 5: "again"}
    assert store.flags("ridge", after=2, until=4) == {4: "here"}
    assert store.flags("vale") == {}
    assert [stored.hash for stored in store.entries("ridge")] == [digest for digest, _ in chain]


def test_what_its_sender_may_not_write_is_quarantined_unless_it_is_here(store: Store) -> None:
    chain = list(islice(notes(), 3))
    store.append(chain[:1], NOW)
    barred = dict.fromkeys((digest for digest, _ in chain[:2]), Remark(refused="not yours"))
    receipts = store.append(chain, NOW, barred)
    assert receipts == [
        Receipt(chain[0][0], 1, "had"),
        Receipt(chain[1][0], 0, "refused", "not yours"),
        Receipt(chain[2][0], 2, "kept"),
    ]
    [held] = store.quarantined("ridge")
    assert (held.hash, held.text, held.reason) == (*chain[1], "not yours")
    assert store.append(chain[1:2], NOW)[0].state == "kept", "from somebody who may"


def test_nothing_of_a_job_is_made_by_what_is_barred(store: Store) -> None:
    [(digest, text)] = islice(notes(), 1)
    store.append([(digest, text)], NOW, {digest: Remark(refused="not yours")})
    assert store.jobs() == []
    assert store.cursor("ridge") == 0


def test_the_cursor_is_that_of_the_newest_entry(store: Store) -> None:
    assert store.cursor("ridge") == 0
    store.append(list(islice(notes(), 7)), NOW)
    assert store.cursor("ridge") == 7


def test_an_attachment_tells_its_size(store: Store) -> None:
    name = store.attach(b"a photo")
    assert store.attachment_size(name) == 7
    assert store.attachment_size("0" * 64) is None
    assert store.attachment_size("../x") is None
