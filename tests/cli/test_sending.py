"""`serve` with a mail server set, killed and started again; `show told` says what became of it."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import httpx
import pytest

from tests.cli.conftest import Site
from tests.cli.test_serving import wait_for
from tests.server.receivers import free_port, mail_server, wait_until


@contextmanager
def served(site: Site, settings: dict[str, str], stop: signal.Signals) -> Iterator[tuple[str, str]]:
    """`matbook serve` with these settings; gives its address and what it said of sending."""
    command = [sys.executable, "-c", "from matbook.cli import run; run()"]
    process = subprocess.Popen(
        [*command, "--home", str(site.folder / "home"), "serve", "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, **settings},
    )
    assert process.stdout is not None
    try:
        line = process.stdout.readline()
        address = next(word for word in line.split() if word.startswith("http"))
        ways = process.stdout.readline()
        wait_for(address)
        yield address, ways
    finally:
        process.send_signal(stop)
        _, errors = process.communicate(timeout=20)
    assert "Traceback" not in errors
    assert "hush" not in errors


def settings(port: int) -> dict[str, str]:
    return {
        "MATBOOK_MAIL_URL": f"smtp://127.0.0.1:{port}",
        "MATBOOK_MAIL_FROM": "book@example.org",
        "MATBOOK_SEND_TO": "@example.org",
    }


def test_what_a_command_writes_is_sent_by_the_server_and_shown(open_shift: Site) -> None:
    open_shift.run("add", "plan", "path=people/tess/mail", "new=tess@example.org",
                   "agreed=Sam", "--why", "to reach her")  # fmt: skip
    told = open_shift.json("add", "notice", "to=tess", "how=mail", "text=Load 7 is cold.")
    assert open_shift.json("show", "told")[0]["sent"] == ""
    with (
        mail_server() as box,
        served(open_shift, settings(box.port), signal.SIGINT) as (address, ways),
    ):
        assert ways == "Written notices go out by: mail.\n"
        wait_until(lambda: box.to == ["tess@example.org"])
        sendings = f"{address}/api/jobs/ridge/sendings"
        wait_until(
            lambda: httpx.get(sendings, verify=False).json()["sendings"][0]["state"] == "sent"
        )
    [row] = open_shift.json("show", "told")
    assert row["id"] == told["id"]
    assert row["sent"].startswith("Tess Moor: sent ")
    shown = open_shift.json("show", "entry", told["id"])
    assert shown["sent"] == [row["sent"]]
    printed = open_shift.run("show", "told").stdout
    assert "Tess Moor · mail · open" in printed
    assert row["sent"] in printed


def test_serve_refuses_settings_it_cannot_use(
    open_shift: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MATBOOK_MAIL_URL", "smtp://mail.example")
    done = open_shift.run("serve", "--port", "0", code=2)
    assert "without encryption mail goes to this machine alone" in " ".join(done.stderr.split())


@pytest.mark.long
def test_a_server_killed_while_its_network_is_dead_sends_after_it_is_back(open_shift: Site) -> None:
    open_shift.run("add", "plan", "path=people/tess/mail", "new=tess@example.org",
                   "agreed=Sam", "--why", "to reach her")  # fmt: skip
    open_shift.json("add", "notice", "to=tess", "how=mail", "text=Load 7 is cold.")
    port = free_port()
    with served(open_shift, settings(port), signal.SIGKILL) as (address, _):
        sendings = f"{address}/api/jobs/ridge/sendings"
        wait_until(lambda: "unreached" in json.dumps(httpx.get(sendings, verify=False).json()))
    with mail_server(port) as box, served(open_shift, settings(port), signal.SIGINT):
        wait_until(lambda: box.to == ["tess@example.org"], 60)
