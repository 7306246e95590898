"""docs/server.md says what is: limits, routes that stand open, kinds of picture."""

from pathlib import Path

import pytest

from matbook.server import codes, guard, images
from matbook.server.house import PORT, Limits
from matbook.store.accounts import TRIES

PAGE = (Path(__file__).parents[2] / "docs" / "server.md").read_text(encoding="utf-8")
LIMITS = Limits()


def rate(pair: tuple[float, float], per: str, factor: float = 1) -> str:
    return f"{pair[0]:g} at once, then {pair[1] * factor:g} a {per}"


@pytest.mark.parametrize(
    ("limit", "value"),
    [
        ("body of a request, JSON", f"{LIMITS.json_bytes >> 20} MiB"),
        ("entries in one push", f"{LIMITS.entries}"),
        ("one piece of an attachment", f"{LIMITS.piece_bytes >> 20} MiB"),
        ("one attachment", f"{LIMITS.attachment_bytes >> 20} MiB"),
        ("pixels of a picture", f"{LIMITS.pixels // 1_000_000} million"),
        ("time for a body to arrive", f"{LIMITS.body_s:g} s"),
        (
            "pushes worked on at once",
            f"{LIMITS.pushes}; others are asked to come again in 1 to 3 s",
        ),
        ("requests of a device", rate(LIMITS.device_rate, "second")),
        ("requests from an address", rate(LIMITS.address_rate, "second")),
        ("tries to pair from an address", rate(LIMITS.pairing_rate, "minute", 60)),
    ],
)
def test_a_limit_is_documented_as_it_is(limit: str, value: str) -> None:
    assert f"| {limit} | {value} |" in PAGE


def test_every_limit_has_its_row() -> None:
    assert PAGE.partition("## Limits")[2].partition("\n\nAttachments")[0].count("\n| ") == 12


def test_the_rest_is_as_it_says() -> None:
    assert f"localhost:{PORT}" in PAGE
    assert all(kind.upper() in PAGE.upper() for kind in images.PICTURES)
    assert (TRIES, codes.MINUTES) == (5, 10), "“for five tries”, “ten minutes”"
    assert {"/api/health", "/api/pair", "/api/openapi.json"} == guard.OPEN
