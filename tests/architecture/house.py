"""What the tests of the house rules share: the project's files and their syntax trees."""

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "matbook"
CORE = ("errors", "words", "engine", "book", "plan", "shift", "lots", "desk")
"""The core's layers; the last two come later."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def files() -> tuple[Path, ...]:
    """Every file that is, or would be, in the repository."""
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "-zco", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    found = (ROOT / name for name in listed.split("\0") if name)
    return tuple(sorted(path for path in found if path.is_file()))


@cache
def texts() -> dict[str, str]:
    """Every text file of the repository, by its name from the root."""
    found = {}
    for path in files():
        raw = path.read_bytes()
        if b"\0" not in raw:
            found[path.relative_to(ROOT).as_posix()] = raw.decode("utf-8")
    return found


@cache
def trees(folder: str) -> dict[str, ast.Module]:
    """The syntax tree of every Python file in a folder, by the file's name from the root."""
    return {
        name: ast.parse(text, name)
        for name, text in texts().items()
        if name.startswith(f"{folder}/") and name.endswith(".py")
    }


def core() -> dict[str, ast.Module]:
    """The syntax trees of the core."""
    heads = tuple(f"src/matbook/{layer}{end}" for layer in CORE for end in ("/", ".py"))
    return {name: tree for name, tree in trees("src").items() if name.startswith(heads)}


def functions(tree: ast.AST) -> Iterator[Function]:
    """Every function and method of a tree, nested ones too."""
    for node in ast.walk(tree):
        if isinstance(node, Function):
            yield node


def module_name(file: str) -> str:
    """src/matbook/book/entry.py -> matbook.book.entry"""
    return file.removeprefix("src/").removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def calls(tree: ast.AST) -> Iterator[tuple[ast.Call, str]]:
    """Every call with the dotted name of what is called, as far as it can be read."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield node, dotted(node.func)


def dotted(node: ast.expr) -> str:
    """a.b.c for a name or an attribute; what isn't a name is left empty: f().c -> .c"""
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else ""
