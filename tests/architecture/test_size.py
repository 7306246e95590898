"""House numbers: small modules, small functions. An exception carries a line of reason."""

import ast
from collections.abc import Mapping
from statistics import median, quantiles
from typing import Final

from tests.architecture import house

LARGER_MODULES: Final[Mapping[str, str]] = {}
"""Modules over 600 lines, each with the reason why."""

LONGER_FUNCTIONS: Final[Mapping[str, str]] = {}
"""Functions over 60 lines, as file:name, each with the reason why."""


def modules() -> dict[str, int]:
    return {name: len(house.texts()[name].splitlines()) for name in house.trees("src")}


def bodies(folder: str) -> dict[str, int]:
    return {
        f"{name}:{function.name}": body_lines(function)
        for name, tree in house.trees(folder).items()
        for function in house.functions(tree)
    }


def body_lines(function: house.Function) -> int:
    """Lines of a function below its signature and its docstring."""
    body = function.body
    first = body[0]
    if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
        body = body[1:]
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def test_no_module_is_over_600_lines() -> None:
    over = {name: lines for name, lines in modules().items() if lines > 600}
    assert over.keys() == LARGER_MODULES.keys(), over


def test_19_modules_of_20_are_under_400_lines() -> None:
    assert quantiles(modules().values(), n=20)[-1] < 400


def test_half_the_modules_have_150_lines_or_less() -> None:
    assert median(modules().values()) <= 150


def test_no_function_body_is_over_60_lines() -> None:
    over = {name: lines for name, lines in bodies("src").items() if lines > 60}
    assert over.keys() == LONGER_FUNCTIONS.keys(), over


def test_half_the_function_bodies_have_15_lines_or_less() -> None:
    assert median(bodies("src").values()) <= 15


def test_test_modules_are_under_600_lines_too() -> None:
    over = {
        name: lines
        for name in house.trees("tests")
        if (lines := len(house.texts()[name].splitlines())) > 600
    }
    assert over == {}


def test_a_docstring_is_not_counted() -> None:
    function = ast.parse(
        'def f():\n    """One.\n\n    Two.\n    """\n    a = 1\n    return a'
    ).body[0]
    assert isinstance(function, ast.FunctionDef)
    assert body_lines(function) == 2
