"""Every number can be opened: each public engine function says what it does and where from."""

import ast
import importlib

from tests.architecture import house
from tools.docstrings import Public, engine, taken_apart

SUBJECTS = {"units", "rounding", "stationing", "weight", "spread", "depth", "geometry", "tack",
            "haul", "smoothness", "rolling", "weather", "cooling", "density", "sampling",
            "acceptance", "comparison"}  # fmt: skip
PUBLIC = [public for _, publics in engine(house.SOURCE).values() for public in publics]
FUNCTIONS = [public for public in PUBLIC if isinstance(public.node, ast.FunctionDef)]


def label(public: Public) -> str:
    return f"{public.module.rpartition('.')[2]}.{public.name}"


def lacking(public: Public) -> list[str]:
    """What a function's docstring should say and doesn't."""
    doc = public.doc
    found = []
    if not doc.text:
        found.append("what it does")
    if not doc.sections.get("Source"):
        found.append("Source:")
    if ">>>" not in doc.sections.get("Example", ""):
        found.append("Example: with >>>")
    said = doc.named("Args")
    if len(public.parameters) == 1 and not numeric(public):
        return found  # its name and the first sentence say it
    return found + [f"Args: {name}" for name in public.parameters if name not in said]


def numeric(public: Public) -> bool:
    """Whether a function takes a number, whose unit and range a reader needs."""
    assert isinstance(public.node, ast.FunctionDef)
    arguments = ast.unparse(public.node.args)
    return any(kind in arguments for kind in ("float", "int", "Decimal", "Fraction"))


def test_the_subjects_are_there() -> None:
    assert engine(house.SOURCE).keys() >= SUBJECTS


def test_every_function_is_documented() -> None:
    assert len(FUNCTIONS) > 200
    found = {label(public): lacking(public) for public in FUNCTIONS}
    assert {name: wanted for name, wanted in found.items() if wanted} == {}


def test_every_function_that_gives_a_figure_carries_its_words_and_source() -> None:
    for public in FUNCTIONS:
        assert isinstance(public.node, ast.FunctionDef)
        assert public.node.returns is not None, label(public)
        function = getattr(importlib.import_module(public.module), public.name)
        if "float" in ast.unparse(public.node.returns):
            assert function.words, label(public)
            assert function.source, label(public)
        if "memory" in getattr(function, "source", ""):
            assert "memory" in public.doc.sections["Source"], label(public)


def test_every_class_and_its_methods_say_what_they_are() -> None:
    for public in PUBLIC:
        assert public.doc.text, label(public)
        assert [one.name for one in public.methods if not one.doc.text] == [], label(public)


def test_what_a_docstring_lacks_is_seen() -> None:
    tree = ast.parse('def f(mass_kg: float):\n    """Do.\n\n    Source: definition.\n    """')
    node = tree.body[0]
    assert isinstance(node, ast.FunctionDef)
    assert lacking(Public("made.up", "f", node)) == ["Example: with >>>", "Args: mass_kg"]


def test_a_docstring_comes_apart() -> None:
    doc = taken_apart("Do.\n\nArgs:\n    a: One\n        more.\n    b: Two.\n\nSource: x\n    y.")
    assert doc.text == "Do."
    assert doc.named("Args") == {"a": "One more.", "b": "Two."}
    assert doc.sections["Source"].split() == ["x", "y."]
