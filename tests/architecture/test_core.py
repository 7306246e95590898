"""The core runs in a phone's browser as it runs here: standard library, no I/O, no clocks."""

import ast
import tomllib
from collections.abc import Callable, Iterator

import pytest

from tests.architecture import house

# fmt: off
PURE = frozenset({
    "abc", "base64", "bisect", "cmath", "collections", "contextlib", "copy", "csv",
    "dataclasses", "datetime", "decimal", "difflib", "enum", "fractions", "functools", "hashlib",
    "heapq", "html", "importlib", "io", "itertools", "json", "math", "numbers", "operator",
    "re", "statistics", "string", "textwrap", "tomllib", "types", "typing", "unicodedata",
    "xml",
})
# fmt: on
"""Modules of the standard library that the core may import: none asks the machine anything."""

OUTSIDE = {"open", "print", "input", "eval", "exec", "compile", "__import__", "breakpoint"}
CLOCKS = (".now", ".today", ".utcnow", ".time_ns")
BARE_SUM_ALLOWED = ("# whole numbers", "# noqa: MB001")

Rule = Callable[[ast.AST], Iterator[tuple[ast.AST, str]]]


def imports(tree: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = ["." if node.level else node.module or ""]
        else:
            continue
        for name in names:
            if name.partition(".")[0] not in PURE | {"matbook"}:
                yield node, f"imports {name}"


def reaching_out(tree: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    for node, name in house.calls(tree):
        if name in OUTSIDE or name.startswith("io.open"):
            yield node, f"calls {name}()"
        if name.endswith((".write_text", ".write_bytes")):
            yield node, f"writes: {name}()"


def clocks(tree: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    for node, name in house.calls(tree):
        if name.endswith(CLOCKS):
            yield node, f"asks a clock: {name}()"
        given = len(node.args) + len(node.keywords)
        if name.endswith(".astimezone") and given == 0:
            yield node, "asks for the machine's time zone: astimezone()"
        if name.endswith(".fromtimestamp") and given < 2:
            yield node, "asks for the machine's time zone: fromtimestamp() without one"


def globals_(tree: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Global):
            yield node, "changes a global"


def bare_sums(tree: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    for node, name in house.calls(tree):
        if name in ("sum", "builtins.sum"):
            yield node, "sums by sum(): use math.fsum, or say “# whole numbers” on the line"


RULES: dict[str, Rule] = {
    "standard library only": imports,
    "no I/O": reaching_out,
    "no clocks": clocks,
    "no global state": globals_,
    "no bare sums": bare_sums,
}


def broken(rule: Rule, name: str, text: str, tree: ast.AST | None = None) -> list[str]:
    lines = text.splitlines()
    found = []
    for node, what in rule(tree or ast.parse(text, name)):
        line = getattr(node, "lineno", 1)
        if rule is bare_sums and any(mark in lines[line - 1] for mark in BARE_SUM_ALLOWED):
            continue
        found.append(f"{name}:{line} {what}")
    return found


@pytest.mark.parametrize("rule", RULES)
def test_the_core_keeps(rule: str) -> None:
    core, texts = house.core(), house.texts()
    assert len(core) > 20, "the core was not found"
    found = (broken(RULES[rule], name, texts[name], tree) for name, tree in core.items())
    assert [line for lines in found for line in lines] == []


@pytest.mark.parametrize(
    ("rule", "text"),
    [
        ("standard library only", "import os"),
        ("standard library only", "import numpy as np"),
        ("standard library only", "from random import random"),
        ("standard library only", "from zoneinfo import ZoneInfo"),
        ("no I/O", "open('a')"),
        ("no I/O", "print(1)"),
        ("no I/O", "path.write_text('a')"),
        ("no clocks", "from datetime import datetime\ndatetime.now(tz)"),
        ("no clocks", "import datetime\ndatetime.date.today()"),
        ("no clocks", "at.astimezone()"),
        ("no clocks", "datetime.fromtimestamp(5)"),
        ("no global state", "def f():\n    global a\n    a = 1"),
        ("no bare sums", "total = sum(values)"),
    ],
)
def test_a_breach_is_seen(rule: str, text: str) -> None:
    assert broken(RULES[rule], "made-up.py", text)


def test_a_sum_of_whole_numbers_may_say_so() -> None:
    assert broken(bare_sums, "made-up.py", "total = sum(counts)  # whole numbers") == []


def test_coverage_is_measured_over_the_whole_core() -> None:
    project = tomllib.loads(house.texts()["pyproject.toml"])
    measured = set(project["tool"]["covered"]["packages"])
    layers = {".".join(house.module_name(name).split(".")[:2]) for name in house.core()}
    assert measured == layers
