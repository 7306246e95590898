"""Docstrings taken apart: what a function does, then its sections.

def spread_rate(mass_kg, area_m2):
    \"""Mass of mix over the area it was laid on.      <- text

    Args:                                             <- sections, by name
        mass_kg: Mass on the tickets [kg]; 0 or more.

    Source: definition.
    \"""
"""

import ast
import inspect
import re
from dataclasses import dataclass
from pathlib import Path

SECTIONS = ("Args", "Returns", "Raises", "Source", "Example")
_HEAD = re.compile(rf"^({'|'.join(SECTIONS)}):(?: (.*))?$")
_NAMED = re.compile(r"^(\*{0,2}\w+): (.*)$")


@dataclass(frozen=True)
class Doc:
    """A docstring's text and its sections, each as it was written, less its indent."""

    text: str
    sections: dict[str, str]

    def named(self, section: str) -> dict[str, str]:
        """The items of Args or Raises: name -> what is said of it, on one line."""
        found: dict[str, str] = {}
        name = ""
        for line in self.sections.get(section, "").splitlines():
            item = None if line.startswith(" ") else _NAMED.match(line)
            if item:
                name = item[1]
                found[name] = item[2]
            elif name and line.strip():
                found[name] += f" {line.strip()}"
        return found


def taken_apart(docstring: str | None) -> Doc:
    """Take a docstring apart."""
    text: list[str] = []
    parts: dict[str, list[str]] = {}
    into = text
    for line in inspect.cleandoc(docstring or "").splitlines():
        head = _HEAD.match(line)
        if head:
            into = parts.setdefault(head[1], [])
            into += [head[2]] if head[2] else []
        else:
            into.append(line)
    sections = {name: inspect.cleandoc("\n".join(lines)) for name, lines in parts.items()}
    return Doc("\n".join(text).strip(), sections)


@dataclass(frozen=True)
class Public:
    """A public function or class of a module, read from its source."""

    module: str
    name: str
    node: ast.FunctionDef | ast.ClassDef

    @property
    def doc(self) -> Doc:
        return taken_apart(ast.get_docstring(self.node))

    @property
    def methods(self) -> list["Public"]:
        """Public methods and properties of a class."""
        return [] if isinstance(self.node, ast.FunctionDef) else publics(self.module, self.node)

    @property
    def parameters(self) -> list[str]:
        """Names of a function's parameters, or of a class's fields and its `__init__`'s."""
        if isinstance(self.node, ast.FunctionDef):
            return parameters(self.node)
        names = [
            item.target.id
            for item in self.node.body
            if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name)
        ]
        for item in self.node.body:
            if isinstance(item, ast.FunctionDef) and item.name == "__init__":
                names += parameters(item)
        return [name for name in names if not name.startswith("_")]

    @property
    def signature(self) -> str:
        """The signature of a function, or how a class is made."""
        node = self.node
        if isinstance(node, ast.ClassDef):
            return f"{self.name}({', '.join(self.parameters)})"
        returns = f" -> {ast.unparse(node.returns)}" if node.returns else ""
        if any(ast.unparse(decorator) == "property" for decorator in node.decorator_list):
            return self.name + returns
        listed = re.sub(r"^(self|cls)(, )?", "", ast.unparse(node.args))
        return f"{self.name}({listed}){returns}"


def parameters(function: ast.FunctionDef) -> list[str]:
    """Names of a function's parameters, less self and cls."""
    a = function.args
    listed = [*a.posonlyargs, *a.args, *a.kwonlyargs, *([a.vararg] if a.vararg else [])]
    return [arg.arg for arg in listed if arg.arg not in ("self", "cls")]


def publics(module: str, tree: ast.Module | ast.ClassDef) -> list[Public]:
    """The public functions and classes of a module, or the methods of a class, in order."""
    found: dict[str, Public] = {}  # the last definition of an overloaded name counts
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            found[node.name] = Public(module, node.name, node)
    return list(found.values())


def engine(source: Path) -> dict[str, tuple[str, list[Public]]]:
    """Every subject of the engine: its module -> (its docstring, what is public in it)."""
    found = {}
    for path in sorted((source / "engine").glob("*.py")):
        if path.stem not in ("__init__", "cited", "ranges"):  # these serve the others
            tree = ast.parse(path.read_text(encoding="utf-8"))
            module = f"matbook.engine.{path.stem}"
            found[path.stem] = (ast.get_docstring(tree) or "", publics(module, tree))
    return found
