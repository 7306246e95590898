"""A lot's page renewed after one more result, against the same statistics by NumPy and SciPy.

Ours takes the laboratory's entry into the open book and answers with the whole page: every step,
the range of the percentage, the pay expected at the end, the next results with full pay. The
reference is told the results and works out those three by arrays, without a page. Each round has a
result of its own, so that nothing that is kept by its inputs helps.
"""

import hashlib
import json
from collections.abc import Iterator, Sequence
from importlib import resources

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special, stats

from bench.cooling import shortest
from bench.row import Row
from matbook.desk.open_book import OpenBook
from matbook.records.lines import from_lines

Array = NDArray[np.float64]
LOWER, PLANNED, MEMBERS = 92.0, 4, 1000
RESULTS = (93.0, 92.3, 93.4)
"""Those of the demo's lot mat-1 once the third core is back from the laboratory."""
WAITS = ("C-mat-1-3", "C-mat-1-4")


def rows(quick: bool) -> Iterator[Row]:
    """One row; a quick run repeats it less."""
    before, late = parted()
    runs = 3 if quick else 12
    todo = iter([(opened(before), varied(late, f"{2.3 + 0.005 * k:.3f}")) for k in range(runs)])

    def renewed() -> None:
        book, pair = next(todo)
        book.add([pair])
        assert "3 of 4" in book.ask("lot", {"name": "mat-1"})["line"]

    ours, theirs = shortest(renewed, by_arrays, runs=runs)
    note = "aim under 20 ms; its three ranges alone by NumPy and SciPy"
    name = "a lot page renewed after one result, ms"
    yield Row(name, 1e3 * ours, 1e3 * theirs, ours / theirs, note)


def parted() -> tuple[list[tuple[str, str]], str]:
    """The demo as it stood with two cores in, and the text of the third one's result."""
    raw = (resources.files("matbook.demo") / "harrow" / "entries.jsonl").read_bytes()
    pairs = from_lines(raw, "harrow")[0]
    samples = {pair: sample(pair[1]) for pair in pairs}
    (late,) = (text for (_, text), name in samples.items() if name == WAITS[0])
    return [pair for pair, name in samples.items() if name not in WAITS], late


def varied(text: str, gravity: str) -> tuple[str, str]:
    """A laboratory's result with another value, as a pair of hash and text."""
    entry = json.loads(text)
    entry["body"]["value"] = f"{gravity} 1"
    text = json.dumps(entry, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest(), text


def sample(text: str) -> str:
    """The sample that an entry is a laboratory's result of."""
    entry = json.loads(text)
    return str(entry["body"].get("sample", "")) if entry["kind"] == "test-result" else ""


def opened(pairs: Sequence[tuple[str, str]]) -> OpenBook:
    """A book that somebody looks at already."""
    book = OpenBook("harrow")
    book.add(pairs)
    book.ask("lot", {"name": "mat-1"})
    return book


def by_arrays() -> None:
    """The range by the noncentral t, and both looks ahead, on arrays."""
    values = np.array(RESULTS)
    n, mean, sd = len(values), values.mean(), values.std(ddof=1)
    t = (mean - LOWER) / sd * np.sqrt(n)
    for share in (0.025, 0.975):
        optimize.brentq(lambda d, p=share: stats.nct.sf(t, n - 1, d) - p, -20.0, 40.0)
    rng = np.random.default_rng(1)
    spread = sd / np.sqrt(rng.chisquare(n - 1, MEMBERS) / (n - 1))
    true = mean + rng.normal(size=MEMBERS) * spread / np.sqrt(n)
    rest = true[:, None] + rng.normal(size=(MEMBERS, PLANNED - n)) * spread[:, None]
    np.quantile(factors(np.hstack([np.tile(values, (MEMBERS, 1)), rest])), (0.1, 0.5, 0.9))
    following = np.linspace(mean - 6 * sd, mean + 6 * sd, 401)
    factors(np.column_stack([np.tile(values, (401, 1)), following]))


def factors(lots: Array) -> Array:
    """Florida's form of the percentage within the lower limit."""
    n = lots.shape[1]
    q = (lots.mean(axis=1) - LOWER) / lots.std(axis=1, ddof=1)
    x = np.clip(0.5 - q * np.sqrt(n) / (2 * (n - 1)), 0.0, 1.0)
    found: Array = 0.55 + 0.5 * (1.0 - special.betainc(n / 2 - 1, n / 2 - 1, x))
    return found
