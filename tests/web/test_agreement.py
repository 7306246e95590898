"""Random bodies and values: the app's checks say to the letter what the core's say."""

import json
import random
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from matbook.book.kinds import Field, kinds
from matbook.engine import units
from tools.run_vectors import outcome, plain

WEB = Path(__file__).parents[2] / "web"
VITEST = ("npx", "--no-install", "vitest", "run", "--config", "tests/vitest.config.ts")
SPELLINGS = [*units.UNITS, *units.SPELLED, "", "parsec", "m 2", "°"]
NUMBERS = (".5", "5.", "", "1e3", "1/2", "1'000", "٣", "1,386", "1.386", "080", "0,5")
KEYS = ("a", "b", "c", "10", "9", "Z", "_", "a-b", "é")


def number(dice: random.Random) -> str:
    plainly = f"{dice.randint(0, 10 ** dice.randint(0, 16))}"
    mark, part = dice.choice(".,"), dice.choice(["0", "5", "40", "000", "123", "1234567"])
    written = dice.choice([plainly, f"{dice.randint(0, 500)}{mark}{part}", dice.choice(NUMBERS)])
    return dice.choice(["", "", "", "-", "+", "−"]) + written


def text(dice: random.Random) -> str:
    length = dice.choice([0, 1, 3, 24, 25, 64, 65, 100, 101])
    return "".join(dice.choice("ab €😀é\n\0\u2028\"\\/'") for _ in range(length))


def value(dice: random.Random, field: Field) -> Any:
    if field.type == "quantity" and dice.random() < 0.85:
        known = field.of != "any" and dice.random() < 0.5
        unit = dice.choice(units.units_of(str(field.of)) if known else SPELLINGS)
        return number(dice) + dice.choice([" ", " ", " ", "  ", "", "\t"]) + unit
    if field.type == "choice" and dice.random() < 0.6:
        return dice.choice(field.of)
    if field.type == "count" and dice.random() < 0.8:
        low, high = int(field.low or 0), int(field.high or 0)
        return dice.choice([low, high, low - 1, high + 1])
    if field.type == "moment":
        day, clock = dice.randint(0, 32), f"{dice.randint(0, 24):02}:{dice.randint(0, 60):02}:00"
        return f"2026-{dice.randint(0, 13):02}-{day:02}T{clock}{dice.choice(['+05:30', 'Z', ''])}"
    return dice.choice([text(dice), text(dice), 7])


def body(dice: random.Random, fields: dict[str, Field]) -> dict[str, Any]:
    found = {}
    for name, field in fields.items():
        if dice.random() < 0.6:
            one = value(dice, field)
            found[name] = [one] * dice.randint(0, 2) if field.many else one
    return found


def tree(dice: random.Random, depth: int = 0) -> Any:
    kind = dice.random()
    if depth > 9 or kind < 0.5:
        return text(dice)
    if kind < 0.6:
        return dice.choice([0, -1, 2**53 - 1, 2**53, dice.randint(-(10**9), 10**9)])
    if kind < 0.75:
        return [tree(dice, depth + 1) for _ in range(dice.randint(0, 3))]
    return {dice.choice(KEYS): tree(dice, depth + 1) for _ in range(dice.randint(0, 3))}


def cases(seed: int, count: int) -> list[dict[str, Any]]:
    """Random cases, each with what the core makes of it."""
    dice, every = random.Random(seed), list(kinds().values())
    found: list[dict[str, Any]] = []
    for _ in range(count):
        kind = dice.choice(every)
        given = {"kind": kind.name, "body": body(dice, dict(kind.fields))}
        found.append({"function": dice.choice(["kinds.faults", "kinds.unusual"]), "given": given})
        held = {"value": {"x": tree(dice)}}
        found.append({"function": "entry.canonical", "given": held})
    return [{**case, "expect": plain(outcome(case))} for case in found]


@pytest.mark.long
def test_random_bodies_are_judged_alike(tmp_path: Path) -> None:
    for seed in range(5):
        made = cases(seed, 3000)
        (tmp_path / "random.json").write_text(json.dumps(made), encoding="utf-8")
        result = subprocess.run(
            [*VITEST, "tests/vectors.test.ts", "--reporter", "json"],
            cwd=WEB,
            capture_output=True,
            text=True,
            env={"PATH": str(Path(shutil.which("npx") or "").parent), "VECTORS": str(tmp_path)},
            timeout=300,
        )
        told = json.loads(result.stdout[result.stdout.index("{") :])
        assert told["numFailedTests"] == 0, f"seed {seed}: {result.stdout[-3000:]}"
        assert told["numPassedTests"] == len(made) + 1
