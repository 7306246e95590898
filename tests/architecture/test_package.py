"""What is installed is whole: the forms, sentences and templates travel with the code."""

import ast
import sys
import tomllib
import zipfile
from importlib.metadata import packages_distributions
from pathlib import Path
from subprocess import run

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.architecture import house


def test_a_wheel_holds_every_file_of_the_package(tmp_path: Path) -> None:
    build = [sys.executable, "-m", "flit_core.wheel", "--outdir", str(tmp_path)]
    run(build, cwd=house.ROOT, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("matbook-*.whl")
    with zipfile.ZipFile(wheel) as opened:
        held = {name for name in opened.namelist() if name.startswith("matbook/")}
    source = {
        path.relative_to(house.SOURCE.parent).as_posix()
        for path in house.files()
        if path.is_relative_to(house.SOURCE)
    }
    assert "matbook/words/en.json" in held
    assert source - held == set()


OURS = {"matbook", "tests", "tools", "bench"}


ELSEWHERE = {"gi"}
"""Debian's bindings, run by Debian's own Python: no package index has them as they are there."""


def imported(folder: str) -> set[str]:
    """The packages of others that the Python files of a folder import, by their top module."""
    names = set()
    for tree in house.trees(folder).values():
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                names |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                names.add((node.module or "").partition(".")[0])
    return names - OURS - sys.stdlib_module_names


@pytest.mark.parametrize("folder", ["src", "tests", "tools", "bench"])
def test_every_package_imported_is_asked_for(folder: str) -> None:
    project = tomllib.loads(house.texts()["pyproject.toml"])["project"]
    wanted = list(project["dependencies"])
    wanted += [] if folder == "src" else project["optional-dependencies"]["dev"]
    named = {canonicalize_name(Requirement(line).name) for line in wanted}
    makers = packages_distributions()
    missing = {
        module
        for module in imported(folder) - ELSEWHERE
        if not named & {canonicalize_name(maker) for maker in makers.get(module, ())}
    }
    assert missing == set()
