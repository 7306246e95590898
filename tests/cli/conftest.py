"""A site: a folder with a plan, and the command line over it."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from matbook.cli import main

PLAN = (Path(__file__).parent / "ridge.toml").read_text(encoding="utf-8")


class Site:
    """A folder with a plan, and the command line over it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.plan = folder / "plan.toml"
        self.plan.write_text(PLAN, encoding="utf-8")

    def run(self, *arguments: str, code: int = 0) -> Result:
        done = CliRunner().invoke(main, ["--home", str(self.folder / "home"), *arguments])
        assert done.exit_code == code, (arguments, done.output, done.exception)
        if done.exception is not None:
            assert isinstance(done.exception, SystemExit), done.exception
        return done

    def json(self, *arguments: str, code: int = 0) -> Any:
        return json.loads(self.run(*arguments, "--json", code=code).stdout)

    def add(
        self, kind: str, *fields: str, at: str = "2026-05-12T09:00:00-03:00", **more: str
    ) -> str:
        options = [part for name, value in more.items() for part in (f"--{name}", value)]
        return str(self.json("add", kind, *fields, "--by", "ana", "--at", at, *options)["id"])


@pytest.fixture
def site(tmp_path: Path) -> Site:
    return Site(tmp_path)


@pytest.fixture
def open_shift(site: Site) -> Site:
    site.run("import", str(site.plan), "--by", "ana")
    site.add("shift-open", shift="2026-05-12/a/day", at="2026-05-12T06:30:00-03:00")
    return site


LOAD = ("plant=hill", "truck=12", "mix=ac16", "decision=taken", "lane=E", "lift=binder", "paver=P1")


def load(site: Site, ticket: int, to: str, *more: str, **options: str) -> str:
    return site.add(
        "load",
        *LOAD,
        f"ticket={ticket}",
        "net=22.00 t",
        "temp=141 degC",
        f"to={to}",
        *more,
        **options,
    )
