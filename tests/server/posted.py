"""A house that sends, for tests; and, run as a program, one that is killed while it does.

python -m tests.server.posted HOME MAIL_PORT
"""

import sys
import time
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import Any

from matbook.bootstrap import Installation, local_now, open_installation
from matbook.server.app import log
from matbook.server.outbox import Outbox, Pace
from matbook.server.posting import ways_from
from tests.scribe import DAY, Scribe
from tests.server.house import PLAN
from tests.store.books import pair

SENDER = "book@fernmoor.example"
LISTED = "@plant.example, +1902*, sam@fernmoor.example, ana@fernmoor.example"
PEOPLE = {
    "ana": 'mail = "ana@fernmoor.example"',
    "dale": 'mail = "dale@elsewhere.example"\nphone = "+1 (902) 555-0110"',
    "tess": 'mail = "tess@plant.example"\nphone = "at the office"',
    "sam": 'mail = "sam@fernmoor.example"',
}
"""Invented addresses: one isn't on the list, and one phone is none."""
USUAL = Pace()
QUICK = Pace(first_s=1, longest_s=2, hold_s=1, look_s=0.05)


def plan() -> str:
    """The small job's plan, with ways to reach its people."""
    text = PLAN
    for person, lines in PEOPLE.items():
        text = text.replace(f'id = "{person}"\n', f'id = "{person}"\n{lines}\n')
    return text


@dataclass
class Post:
    """An installation that sends, with a clock that tests turn."""

    home: Path
    settings: dict[str, str]
    pace: Pace = USUAL
    now: datetime = DAY + timedelta(minutes=30)
    scribe: Scribe = field(default_factory=Scribe)
    log: StringIO = field(default_factory=StringIO)
    house: Installation = field(init=False)
    outbox: Outbox = field(init=False)

    def __post_init__(self) -> None:
        self.house = open_installation(self.home, lambda: self.now)
        self.outbox = self.another()
        if not self.house.store.jobs():
            self.keep(Scribe("tablet", "sam").write("plan", {"toml": plan()}, -60))

    def another(self) -> Outbox:
        """One more that sends from the same line."""
        return Outbox(self.house, ways_from(self.settings), log(self.log), self.pace)

    def keep(self, entry: Any) -> None:
        self.house.store.append([pair(entry)], self.house.moment())

    def tell(self, *to: str, how: str = "mail", minute: float = 20, **more: Any) -> str:
        """Write a notice; gives its id."""
        text = more.pop("text", "Load 106: 109 °C.\nPlease say what you find.")
        entry = self.scribe.write(
            "notice", {"to": list(to), "how": how, "text": text}, minute, **more
        )
        self.keep(entry)
        return entry.id

    def send(self) -> None:
        """Send all that is due now."""
        self.outbox.fill()
        while self.outbox.send_one():
            continue

    def later(self, **time: float) -> None:
        self.now += timedelta(**time)

    def states(self) -> dict[str, tuple[str, str, str]]:
        """By person: the state, why, and with which number."""
        return {
            one.person: (one.state, one.why, one.said) for one in self.house.store.sendings("ridge")
        }


def mailing(port: int, **more: str) -> dict[str, str]:
    """Settings that send mail to a server on this machine."""
    return {
        "MATBOOK_MAIL_URL": f"smtp://127.0.0.1:{port}",
        "MATBOOK_MAIL_FROM": SENDER,
        "MATBOOK_SEND_TO": LISTED,
        **more,
    }


if __name__ == "__main__":
    house = open_installation(Path(sys.argv[1]), local_now)
    ways = ways_from(mailing(int(sys.argv[2])))
    with Outbox(house, ways, log(sys.stderr), QUICK).at_work():
        print("begun", flush=True)
        time.sleep(600)
