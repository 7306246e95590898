"""The demo as of today: the app, served from a book of its own in which a crew goes on writing."""

import json
import os
import sys
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from matbook.bootstrap import Installation, local_now, moment_text, open_installation
from matbook.cli.demo_days import TicketFile, finished
from matbook.cli.shared import complain, progress, say_line, write_file
from matbook.demo import files
from matbook.demo.moved import JOB, TICKETS, Moved, Script, script
from matbook.demo.replay import BEFORE, Replay
from matbook.errors import MatbookError, StoreBusy

HOST: Final = "127.0.0.1"
NOTE: Final = "replay.json"
"""In the home: when its shift opened, and the port of its app. Written once all before it is."""
PAUSE_S: Final = 0.5
"""Between one look at what is due and the next [s]."""


@dataclass(frozen=True)
class Home:
    """Where a replay lives; a port of its own, so that a browser keeps each one's book apart."""

    folder: Path
    opened: datetime
    port: int = 0


def play(folder: Path, speed: float, open_it: bool) -> None:
    """Serve the app on today's shift until Ctrl-C, while the replay writes into it."""
    from matbook.server import app, reach, running  # slow to load, so only when used

    days = script()
    home = _latest(folder, days) or _new(folder)
    here = open_installation(home.folder)
    try:
        moved = Moved(days, home.opened)
        if not home.port:
            _begin(here, days, moved)
        replay = Replay(here, days, moved, speed)
        replay.write_due()
        with (
            running.bound(HOST, home.port) as listening,
            (home.folder / "requests.jsonl").open("a", encoding="utf-8") as log,
        ):
            port = listening.getsockname()[1]
            _note(home, port)
            serving = reach.serving(HOST, port, None, None)
            server = running.server_for(app.web_app(here, serving, out=log))
            _say(serving.address, opened=open_it and opened(serving.address))
            with _going_on(replay):
                running.run(server, listening)
        say_line(
            "\nStopped. The app in the browser goes on, and keeps what you write until you run "
            "this again."
        )
    finally:
        here.store.close()


def _latest(folder: Path, days: Script) -> Home | None:
    """The home begun last, if its day goes on."""
    notes = sorted(folder.glob(f"today-*/{NOTE}"))
    if not notes:
        return None
    said = json.loads(notes[-1].read_text("utf-8"))
    home = Home(notes[-1].parent, datetime.fromisoformat(said["opened"]), said["port"])
    ends = Moved(days, home.opened).now(days.today[-1].written)
    return home if ends > local_now() else None


def _new(folder: Path) -> Home:
    now = local_now().replace(microsecond=0)
    return Home(folder / f"today-{now:%Y-%m-%d-%H%M%S}", now - BEFORE)


def _note(home: Home, port: int) -> None:
    said = {"opened": home.opened.isoformat(), "port": port}
    write_file(home.folder / NOTE, json.dumps(said).encode())


def _begin(here: Installation, days: Script, moved: Moved) -> None:
    """Write the plan and the day before, closed and sealed."""
    entries = moved.closed(days.closed)
    with progress() as bar:
        task = bar.add_task("yesterday's shift", total=len(entries))
        here.store.append_all(
            [(entry.hash, entry.text) for entry in entries],
            moment_text(max(entry.written for entry in entries) + timedelta(minutes=1)),
            lambda done: bar.update(task, completed=done),
        )
    sent = moved.text(files(JOB)[TICKETS].read_text("utf-8"), moved.over)
    finished(here, JOB, moved.closed_shift, TicketFile(TICKETS, sent.encode()))


@contextmanager
def _going_on(replay: Replay) -> Iterator[None]:
    """The replay, beside the server."""
    stop = threading.Event()
    going = threading.Thread(target=_go_on, args=(replay, stop), name="replay")
    going.start()
    try:
        yield
    finally:
        stop.set()
        going.join()


def _go_on(replay: Replay, stop: threading.Event) -> None:
    while not stop.wait(PAUSE_S):
        try:
            replay.write_due()
        except StoreBusy:
            continue
        except MatbookError as error:
            complain(error)
            return
        if replay.reached() > replay.ends:
            say_line("The invented day is at its end: nobody else writes from now on.")
            return


def opened(address: str) -> bool:
    """Open the app in a browser that has a screen; whether there is one."""
    screens = ("DISPLAY", "WAYLAND_DISPLAY")
    if sys.platform.startswith("linux") and not any(os.environ.get(name) for name in screens):
        return False  # what is left there are browsers of text, which take the terminal over
    return webbrowser.open(address)


def _say(address: str, *, opened: bool) -> None:
    say_line(f"\nToday's shift is in full swing at {address}")
    if not opened:
        say_line("Open that address in a browser on this machine.")
    say_line("Say who you are, and take the next load. What the crew had no signal to send comes")
    say_line("in within two minutes; then the day goes on by the clock. All of it is invented.")
    say_line("Pull the plug: Ctrl-C here. Then go on writing there.")
