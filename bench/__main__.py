"""Measures Matbook against references in the same run, and says each figure as a ratio.

python -m bench               every figure (minutes)
python -m bench --quick       the same figures on little data (seconds; to see that they run)
python -m bench --write       also put them into docs/measurements.md
python -m bench store shift   only these modules of bench/
"""

import argparse
import importlib
import os
import pkgutil
import platform
import sys
import time
from collections.abc import Iterable
from datetime import date
from pathlib import Path

from bench.row import Row

HERE = Path(__file__).resolve().parent
PAGE = HERE.parent / "docs" / "measurements.md"
BEGIN, END = "<!-- measured: {} -->", "<!-- measured: end -->"
HEAD = ("figure", "ours", "reference", "ratio", "aim and reference")


def modules() -> list[str]:
    """The modules of bench/ that measure something."""
    names = (found.name for found in pkgutil.iter_modules([str(HERE)]))
    return [name for name in names if hasattr(importlib.import_module(f"bench.{name}"), "rows")]


def measured(name: str, quick: bool) -> str:
    """The section of one module: on what it was measured, and every figure."""
    begun = time.perf_counter()
    rows = table(map(cells, importlib.import_module(f"bench.{name}").rows(quick)))
    print(f"{name}: {time.perf_counter() - begun:.1f} s", file=sys.stderr)
    return f"{machine(quick)}\n\n{rows}"


def cells(row: Row) -> tuple[str, ...]:
    """A row as it is printed."""
    return row.name, short(row.ours), short(row.reference), short(row.ratio), row.note


def short(value: float | str) -> str:
    """Three significant digits, whole when larger: 0.512, 48.1, 12 345."""
    if isinstance(value, str):
        return value
    return f"{value:,.0f}".replace(",", " ") if abs(value) >= 100 else f"{value:.3g}"


def table(rows: Iterable[tuple[str, ...]]) -> str:
    """A Markdown table that reads well in a terminal too."""
    lines = [HEAD, *rows]
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    lines.insert(1, tuple("-" * width for width in widths))
    return "\n".join(f"| {' | '.join(map(str.ljust, line, widths))} |" for line in lines)


def machine(quick: bool) -> str:
    """What the figures were measured on."""
    about = f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors"
    size = "little data (--quick)" if quick else "full size"
    load = f"{os.getloadavg()[1]:.1f} programs at work at the same time"
    return f"Python {platform.python_version()}, {about}, {load}, {date.today()}, {size}."


def rewritten(page: str, name: str, section: str) -> str:
    """The page with what a module measured put in place of what it did before."""
    begin = BEGIN.format(name)
    before, found, rest = page.partition(begin)
    if not found:
        raise SystemExit(f"docs/measurements.md has no place for {name}: {begin}")
    _, _, after = rest.partition(END)
    return f"{before}{begin}\n\n{section}\n\n{END}{after}"


def main() -> None:
    """Measure, print, and write if asked."""
    parser = argparse.ArgumentParser(prog="bench", description="Measure against references.")
    parser.add_argument("--quick", action="store_true", help="little data, seconds")
    parser.add_argument("--write", action="store_true", help="put them into docs/measurements.md")
    parser.add_argument("names", nargs="*", metavar="MODULE", help=f"of {', '.join(modules())}")
    given = parser.parse_args()
    unknown = set(given.names) - set(modules())
    if unknown:
        parser.error(f"no such module: {', '.join(sorted(unknown))}")
    for name in given.names or modules():
        section = measured(name, given.quick)
        print(f"{section}\n", flush=True)
        if given.write:
            page = PAGE.read_text(encoding="utf-8")
            PAGE.write_text(rewritten(page, name, section), encoding="utf-8")


if __name__ == "__main__":
    main()
