"""docs/server.md says what is: limits, routes that stand open, kinds of picture."""

import re
from pathlib import Path

import pytest

from matbook.server import codes, guard, images, problems
from matbook.server.house import PORT, Limits
from matbook.server.turns import LONGEST_S
from matbook.store.accounts import TRIES

PAGE = (Path(__file__).parents[2] / "docs" / "server.md").read_text(encoding="utf-8")
SERVER = Path(problems.__file__).parent
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
            "pushes taken in at once",
            f"{LIMITS.pushes}, fewer while one takes long; others are told when their turn "
            f"will be, within {LONGEST_S} s",
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


def test_every_code_is_documented_with_its_status() -> None:
    sources = [path.read_text(encoding="utf-8") for path in SERVER.glob("*.py")]
    raised = {
        (code, int(status))
        for text in sources
        for status, code in re.findall(r'(?:Problem|told)\(\s*(\d{3}),\s*"([a-z-]+)"', text)
    }
    assert len(raised) > 20
    table = set(re.findall(r"^\| `([a-z-]+)` \| (\d{3}) \|", PAGE, re.MULTILINE))
    documented = {(code, int(status)) for code, status in table}
    assert raised - documented == set()
    known = raised | set(problems.STATUS.items())
    known |= {(code, status) for status, (code, _) in problems.PLAIN.items()}
    assert documented - known == set()
