"""Servers to ask: one on loopback, one for phones."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from matbook.server import codes, pairing
from matbook.server.house import Serving
from tests.server.house import AWAY, PATIENT, Asking, Served


@pytest.fixture
def here(tmp_path: Path) -> Iterator[Served]:
    """On loopback."""
    served = Served(tmp_path / "home", Serving(limits=PATIENT)).with_plan()
    yield served
    served.close()


@pytest.fixture
def away(tmp_path: Path) -> Iterator[Served]:
    """For phones, with accounts."""
    served = Served(tmp_path / "home", replace(AWAY, limits=PATIENT)).with_plan()
    yield served
    served.close()


@pytest.fixture(scope="module")
def unmoved(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """On loopback, for all tests of a file that leave it as it is."""
    served = Served(tmp_path_factory.mktemp("home"), Serving(limits=PATIENT)).with_plan()
    yield served
    served.close()


@pytest.fixture(scope="module")
def unmoved_away(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """For phones, with accounts; for all tests of a file that leave it as it is."""
    served = Served(tmp_path_factory.mktemp("home"), replace(AWAY, limits=PATIENT)).with_plan()
    yield served
    served.close()


def paired(served: Served, person: str, role: str, device: str = "phone-1") -> Asking:
    """A device of that person, paired as a phone is."""
    code, _ = pairing.new_pairing(served.house, "ridge", person, role)
    claim = {"code": codes.shown(code), "device": device, "key": None}
    answer = served.me.post("/api/pair", claim)
    assert answer.status_code == 200, answer.text
    return Asking(served.client, answer.json()["token"])
