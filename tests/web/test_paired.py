"""Paired phones: signed heads, what a contractor gets and may not write, a phone turned away."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright

from matbook.bootstrap import open_installation
from matbook.seal.keys import verify
from matbook.server.entries import Signed, head_text
from tests.web.harness import JOB, SHIFT, device
from tests.web.office import demo_pairs, home_with_the_demo
from tests.web.secure import SecureOffice

pytestmark = pytest.mark.browser


@pytest.fixture
def office(tmp_path: Path) -> Iterator[SecureOffice]:
    served = SecureOffice(home_with_the_demo(tmp_path))
    yield served
    served.kill()


def test_a_paired_phone_signs_how_far_its_chain_reaches(
    play: Playwright, tmp_path: Path, built: Path, office: SecureOffice
) -> None:
    with device(play, tmp_path / "phone", built, office.address) as phone:
        refused = phone.sync()
        assert (refused["reached"], "paired" in refused["trouble"]) == (True, True)
        me = phone.run("return m.pair(a)", office.code("ines", "inspector"))
        assert (me["person"], me["role"], me["job"]) == ("ines", "inspector", JOB)
        kept = phone.write("one", "two")
        state = phone.sync()
        assert (state["unsent"], state["refused"], state["trouble"]) == (0, 0, None)
        name = phone.name()
    here = open_installation(office.home)
    (head,) = here.store.signed_heads(JOB)
    assert (head.device, head.seq, head.hash) == (name, 2, kept[1])
    signed = Signed(device=name, seq=2, hash=kept[1], at=head.at, signature=head.signature)
    verify(head.key, head_text(JOB, signed), head.signature)
    assert not here.store.flags(JOB, 0, 10_000)
    here.store.close()


def test_a_contractor_gets_what_is_released_and_what_is_refused_is_not_lost(
    play: Playwright, tmp_path: Path, built: Path, office: SecureOffice
) -> None:
    with device(play, tmp_path / "phone", built, office.address) as phone:
        phone.run("await m.pair(a)", office.code("dale", "contractor"))
        state = phone.sync()
        assert state["trouble"] is None
        assert 0 < state["entries"] < len(demo_pairs())
        kinds = phone.run("return (await m.pairs(a)).map(({ text }) => JSON.parse(text).kind)", JOB)
        assert "density" not in kinds
        again = phone.sync()
        assert (again["entries"], again["unsent"]) == (state["entries"], 0)
        (note,) = phone.write("a note is not theirs to write")
        state = phone.sync()
        assert (state["unsent"], state["refused"]) == (0, 1)
        (refusal,) = phone.run("return m.refusals(a)", JOB)
        assert refusal["hash"] == note
        assert "contractor may not write" in refusal["reason"]
        assert note in phone.hashes()


@pytest.mark.long
def test_a_phone_that_was_turned_away_keeps_what_it_writes(
    play: Playwright, tmp_path: Path, built: Path, office: SecureOffice
) -> None:
    with device(play, tmp_path / "phone", built, office.address) as phone:
        phone.run("await m.pair(a)", office.code("ines", "inspector"))
        assert phone.sync()["trouble"] is None
        here = open_installation(office.home)
        assert here.store.revoke(JOB, phone.name(), "2026-06-17T09:00:00-03:00")
        here.store.close()
        kept = phone.write("all the same")
        state = phone.sync()
        assert state["unsent"] == 1
        assert "pair again" in state["trouble"]
        phone.run("await m.pair(a)", office.code("ines", "inspector"))
        assert phone.sync()["unsent"] == 0
        assert kept[0] in phone.hashes()


def test_a_wrong_code_is_answered_in_a_sentence(
    play: Playwright, tmp_path: Path, built: Path, office: SecureOffice
) -> None:
    with device(play, tmp_path / "phone", built, office.address) as phone:
        said = phone.run("return m.pair('AA-AAAA-AAAA').catch((error) => error.sentence)")
        assert "Ask for a new code" in said
        assert phone.run("return (await m.me()).token") == ""
        assert phone.write("still kept", SHIFT)
