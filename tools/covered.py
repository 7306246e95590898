"""Which lines and branches of the core the tests reach: a plugin for pytest, `-p tools.covered`.

The tracing of Python 3.11 would make the tests four times as slow. SlipCover puts its marks into
the code as it is imported, and takes them out again where they have been reached.
"""

import importlib.machinery
import io
import json
import sys
import tomllib
from collections.abc import Iterable, Sequence
from importlib.abc import MetaPathFinder
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from slipcover import Slipcover, merge_coverage, print_coverage
from slipcover.importer import SlipcoverLoader

ROOT = Path(__file__).resolve().parents[1]
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["covered"]

OFTEN = 1000
"""A mark reached so often once more is worth a search for all marks that can go; the search goes
through every function, and SlipCover's own 50 has it made a hundred times."""


class Finder(MetaPathFinder):
    """Imports what is measured with SlipCover's marks, and leaves the rest alone."""

    def __init__(self, names: Iterable[str], marks: Slipcover) -> None:
        self._names = tuple(names)
        self._marks = marks

    def find_spec(
        self, name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        if not any(name == one or name.startswith(one + ".") for one in self._names):
            return None
        spec = importlib.machinery.PathFinder.find_spec(name, path, target)
        if spec and spec.origin and isinstance(spec.loader, importlib.machinery.SourceFileLoader):
            spec.loader = SlipcoverLoader(self._marks, spec.loader, spec.origin)
        return spec


class Covered:
    """What one process reached, and for the one that others report to, what all reached."""

    def __init__(self, worker: bool) -> None:
        folders = (ROOT / "src" / name.replace(".", "/") for name in SETTINGS["packages"])
        self._marks = Slipcover(
            branch=True,
            d_miss_threshold=OFTEN,
            source=[str(folder) for folder in folders if folder.is_dir()],  # what nobody imported
            exclude_also=SETTINGS["exclude"],
        )
        sys.meta_path.insert(0, Finder(SETTINGS["packages"], self._marks))
        self._worker = worker
        self._found: list[dict[str, Any]] = []
        self._whole: dict[str, Any] = {}

    def pytest_testnodedown(self, node: Any, error: object) -> None:
        """Another process has ended; one that crashed brings nothing, and the run fails anyway."""
        if "covered" in getattr(node, "workeroutput", {}):
            self._found.append(json.loads(node.workeroutput["covered"]))

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        whole = self._marks.get_coverage()
        if self._worker:
            session.config.workeroutput["covered"] = json.dumps(whole)  # type: ignore[attr-defined]
            return
        for one in self._found:
            merge_coverage(whole, one)
        self._whole = whole
        if session.exitstatus == pytest.ExitCode.OK and self._percent < SETTINGS["at_least"]:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        terminalreporter.section("the core, as reached by the tests")
        table = io.StringIO()
        print_coverage(self._whole, outfile=table, skip_covered=True, missing_width=50)
        terminalreporter.write(table.getvalue())
        terminalreporter.write_line(
            f"{self._percent:.2f} % of lines and branches; at least {SETTINGS['at_least']} wanted"
        )

    @property
    def _percent(self) -> float:
        return float(self._whole["summary"]["percent_covered"])


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(Covered(worker=hasattr(config, "workerinput")), "covered")
