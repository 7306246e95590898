"""serve and pair as they are typed: what they refuse, and what pair prints."""

import signal
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

from matbook.server import codes, reach
from matbook.server.house import Serving
from tests.cli.conftest import Site


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--host", "0.0.0.0"), "only HTTPS is served: give --certificate and --key"),
        (("--certificate", "c.pem"), "--key is “”; it must be given with --certificate"),
        (("--key", "k.pem"), "--certificate is “”; it must be given with --key"),
        (
            ("--host", "0.0.0.0", "--certificate", "c.pem", "--key", "k.pem"),
            "c.pem can't be read",
        ),
        (("--host", "0.0.0.0", "--proxy-name", "book.example.org"), "only HTTPS is served"),
        (("--port", "99999"), "99999"),
    ],
)
def test_serve_refuses_in_a_sentence(site: Site, options: tuple[str, ...], words: str) -> None:
    done = site.run("serve", *options, code=2)
    assert words in " ".join(done.stderr.split())
    assert "Traceback" not in done.output


def test_pair_prints_a_code_that_can_be_scanned(open_shift: Site) -> None:
    home = open_shift.folder / "home"
    done = open_shift.run("pair", "ana", code=2)
    assert "start `matbook serve` for phones first" in done.stderr
    reach.note(home, Serving("https://book.example.org:8417", accounts=True))
    shown = open_shift.run("pair", "ana", "--role", "technician").stdout
    assert "█" in shown or "▀" in shown
    line = next(line for line in shown.splitlines() if line.startswith("Code:"))
    assert codes.read_code(line.removeprefix("Code:"))
    assert "For ana as technician, until" in shown
    made = open_shift.json("pair", "ana", "--address", "https://other.example.org/")
    assert made["link"] == f"https://other.example.org/#pair={made['code']}"


def test_pair_knows_the_people_of_the_plan(open_shift: Site) -> None:
    done = open_shift.run("pair", "nobody", "--address", "https://b.example.org", code=2)
    assert "it must be one of the people in the plan: ana, dale, tess" in done.stderr


def test_serve_runs_as_a_command_and_stops_when_asked(open_shift: Site) -> None:
    home = open_shift.folder / "home"
    command = [sys.executable, "-c", "from matbook.cli import run; run()"]
    process = subprocess.Popen(
        [*command, "--home", str(home), "serve", "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        address = next(word for word in line.split() if word.startswith("http"))
        assert address.startswith("http://localhost:")
        wait_for(address)
        assert [
            job["job"] for job in httpx.get(f"{address}/api/jobs", verify=False).json()["jobs"]
        ] == ["ridge"]
    finally:
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=20)
    assert "Traceback" not in errors
    assert "not kept" not in errors
    assert process.returncode == 0


def wait_for(address: str) -> None:
    until = time.monotonic() + 20
    while True:
        try:
            assert httpx.get(f"{address}/api/health", verify=False).json()["up"]
        except httpx.TransportError:
            assert time.monotonic() < until, "it never came up"
            time.sleep(0.05)
        else:
            return


def test_the_server_is_not_loaded_by_commands_that_do_not_serve(tmp_path: Path) -> None:
    code = "import sys, matbook.cli; print(*sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = {name.partition(".")[0] for name in ran.stdout.split()}
    assert "matbook" in loaded
    serving = {"fastapi", "uvicorn", "structlog", "segno", "PIL", "prometheus_client"}
    assert loaded & serving == set()
