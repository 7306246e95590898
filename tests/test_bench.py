"""The bench runs, and its table says what was measured."""

import subprocess
import sys

import pytest

from bench.__main__ import cells, modules, rewritten, short, table
from bench.row import Row
from tests.architecture import house


def test_a_row_is_printed_with_its_ratio() -> None:
    row = Row("append, entries/s", 1234.5, 2469.0, 0.5, "aim 0.5; raw INSERT")
    assert cells(row) == ("append, entries/s", "1 234", "2 469", "0.5", "aim 0.5; raw INSERT")
    assert table([cells(row)]).splitlines()[2].split(" | ")[3].strip() == "0.5"


def test_numbers_are_short() -> None:
    assert [short(n) for n in (0.51234, 48.123, 99.96, 123456.0, "n/a")] == [
        "0.512",
        "48.1",
        "100",
        "123 456",
        "n/a",
    ]


def test_only_the_measured_part_of_the_page_is_rewritten() -> None:
    page = house.texts()["docs/measurements.md"]
    for name in modules():
        once = rewritten(page, name, "| a |")
        assert "| a |" in once
        assert rewritten(once, name, "| b |") == rewritten(page, name, "| b |")
        before, _, after = page.partition(f"<!-- measured: {name} -->")
        assert once.startswith(before)
        assert once.endswith(after.partition("<!-- measured: end -->")[2])


def test_a_module_without_a_place_on_the_page_is_told() -> None:
    with pytest.raises(SystemExit, match="no place for elsewhere"):
        rewritten(house.texts()["docs/measurements.md"], "elsewhere", "| a |")


def test_there_is_something_to_measure() -> None:
    assert modules()


@pytest.mark.long
def test_the_bench_runs() -> None:
    command = [sys.executable, "-m", "bench", "--quick"]
    done = subprocess.run(command, cwd=house.ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) > 4 + len(modules())
