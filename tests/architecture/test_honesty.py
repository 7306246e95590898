"""A green run means something: every test checks, none is skipped, nothing is left for later."""

import ast
import re
from collections.abc import Iterator, Mapping

import pytest

from tests.architecture import house

SWITCHES = re.compile(r"\b(pytest\.)?(mark\.)?(skip|skipif|xfail|importorskip)\b")
CHECKERS = re.compile(r"^_?(assert|check|expect|must|agree|same|refuse|verify)")
"""Helpers of other modules that check on a test's behalf begin with one of these words."""


LEFT_OUT = {"tests/web/webkit.py"}
"""Needs packages that a developer's machine may lack: says which, and fails in CI."""


def tests_in(tree: ast.AST) -> Iterator[house.Function]:
    return (f for f in house.functions(tree) if f.name.startswith("test_"))


def checks(function: house.Function, helpers: Mapping[str, house.Function]) -> bool:
    """Whether a test asserts, expects an error, or calls a helper that does.

    Catching named errors counts: such a test says that no other comes out.
    """
    if any(isinstance(node, ast.Assert | ast.ExceptHandler) for node in ast.walk(function)):
        return True
    names = {name.rpartition(".")[2] for _, name in house.calls(function)} - {function.name}
    rest = {name: helper for name, helper in helpers.items() if name not in names}
    return any(
        name in ("raises", "warns")
        or CHECKERS.match(name)
        or (name in helpers and checks(helpers[name], rest))
        for name in names
    )


def idle(tree: ast.AST) -> list[str]:
    """The tests of a module that check nothing."""
    helpers = {function.name: function for function in house.functions(tree)}
    return [test.name for test in tests_in(tree) if not checks(test, helpers)]


def switched_off(tree: ast.AST) -> list[int]:
    """Lines that name a way to leave a test out."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and SWITCHES.fullmatch(node.attr)
    ]


def test_every_test_checks_something() -> None:
    found = {name: idle(tree) for name, tree in house.trees("tests").items()}
    assert {name: tests for name, tests in found.items() if tests} == {}


def test_no_test_is_switched_off() -> None:
    off = {
        name: lines for name, tree in house.trees("tests").items() if (lines := switched_off(tree))
    }
    assert off.keys() == LEFT_OUT


def test_nothing_is_left_for_later() -> None:
    later = re.compile(r"\b(TO" + "DO|FIX" + r"ME|X{3})\b")
    found = [name for name, text in house.texts().items() if later.search(text)]
    assert [name for name in found if name != "requirements.lock"] == []


def test_no_error_is_swallowed_whole() -> None:
    broad = [
        f"{name}:{node.lineno}"
        for folder in ("src", "tools", "bench")
        for name, tree in house.trees(folder).items()
        for node in ast.walk(tree)
        if isinstance(node, ast.ExceptHandler)
        and (node.type is None or house.dotted(node.type) in ("Exception", "BaseException"))
    ]
    assert broad == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("def test_a():\n    assert f() == 1", True),
        ("def test_a():\n    with pytest.raises(ValueError):\n        f()", True),
        ("def test_a():\n    check_roundtrip(1)", True),
        ("def test_a():\n    f()", False),
        ("def f():\n    assert g()\n\ndef test_a():\n    f()", True),
        ("def f():\n    f()\n\ndef test_a():\n    f()", False),
    ],
)
def test_an_idle_test_is_seen(text: str, expected: bool) -> None:
    assert idle(ast.parse(text)) == ([] if expected else ["test_a"])


def test_a_switch_is_seen() -> None:
    assert switched_off(ast.parse("@pytest.mark.xfail\ndef test_a(): ...")) == [1]
