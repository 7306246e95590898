"""Killed while it sends, with the network gone, or before a server nobody trusts: none is lost."""

import random
import signal
import ssl
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

from matbook.bootstrap import local_now
from matbook.server.app import log
from matbook.server.carriers import Mail
from matbook.server.outbox import Outbox
from matbook.server.posting import Ways
from tests.scribe import DAY
from tests.server.posted import SENDER, Post, mailing
from tests.server.receivers import Mailbox, free_port, mail_server, wait_until
from tests.server.test_running import certificate

ROOT = Path(__file__).resolve().parents[2]
SEED = 20260512


def started(home: Path, port: int) -> subprocess.Popen[str]:
    """A process that sends what is in line in that home."""
    child = subprocess.Popen(
        [sys.executable, "-m", "tests.server.posted", str(home), str(port)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "begun\n"
    return child


def kill(child: subprocess.Popen[str]) -> None:
    child.send_signal(signal.SIGKILL)
    child.communicate()
    assert child.returncode == -signal.SIGKILL


def told(home: Path, port: int, count: int) -> tuple[Post, set[str]]:
    """A house with so many notices of this hour, and the ids that their mails must carry."""
    post = Post(home, mailing(port), now=local_now())
    minute = (post.now - DAY).total_seconds() / 60
    names = [post.tell("tess", minute=minute - 30 + n / 60, text=f"{n}") for n in range(count)]
    return post, {f"<{name}.tess@fernmoor.example>" for name in names}


def all_sent(post: Post, count: int) -> bool:
    found = post.house.store.sendings("ridge")
    return [one.state for one in found] == ["sent"] * count


def ids(box: Mailbox) -> Counter[str]:
    return Counter(str(mail["Message-ID"]).strip() for mail in box.mails)


def test_killed_while_the_other_side_has_not_said_yes(tmp_path: Path) -> None:
    with mail_server() as box:
        post, wanted = told(tmp_path, box.port, 3)
        box.slow_s = 60
        child = started(tmp_path, box.port)
        wait_until(lambda: box.came == 1)
        kill(child)
        box.slow_s = 0
        assert [one.state for one in post.house.store.sendings("ridge")] == ["waiting"] * 3
        child = started(tmp_path, box.port)
        wait_until(lambda: all_sent(post, 3))
        kill(child)
    assert ids(box).keys() == wanted
    assert max(ids(box).values()) <= 2, "one kill, one that may be there twice, by the same name"


def test_a_dead_network_and_a_kill_lose_nothing(tmp_path: Path) -> None:
    port = free_port()
    post, wanted = told(tmp_path, port, 2)
    child = started(tmp_path, port)
    wait_until(lambda: sum(one.tries for one in post.house.store.sendings("ridge")) >= 3)
    assert {one.why for one in post.house.store.sendings("ridge")} <= {"unreached", ""}
    kill(child)
    with mail_server(port) as box:
        child = started(tmp_path, port)
        wait_until(lambda: all_sent(post, 2))
        kill(child)
    assert ids(box) == Counter(wanted)


@pytest.mark.long
def test_killed_many_times_on_a_network_that_comes_and_goes(tmp_path: Path) -> None:
    chance, port, kills, count = random.Random(SEED), free_port(), 14, 30
    post, wanted = told(tmp_path, port, count)
    arrived: Counter[str] = Counter()
    for _ in range(kills):
        child = started(tmp_path, port)
        if chance.random() < 0.7:
            with mail_server(port) as box:
                box.slow_s = chance.choice((0, 0.05, 0.2))
                time.sleep(chance.uniform(0.05, 2.0))
                kill(child)
            arrived += ids(box)
        else:
            time.sleep(chance.uniform(0.05, 2.0))
            kill(child)
    with mail_server(port) as box:
        child = started(tmp_path, port)
        wait_until(lambda: all_sent(post, count), 120)
        kill(child)
    arrived += ids(box)
    assert arrived.keys() == wanted, "every one is there"
    assert sum(arrived.values()) - count <= kills, "no more twice than were cut off"


def test_mail_goes_encrypted_to_a_server_that_is_trusted_and_knows_us(tmp_path: Path) -> None:
    tls = certificate(tmp_path, "127.0.0.1")
    serving = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    serving.load_cert_chain(tls.certificate, tls.key)
    with mail_server() as plain, mail_server(tls=serving, user=(b"book", b"hush")) as box:
        post = Post(tmp_path / "home", mailing(box.port))
        post.tell("tess")

        def trusting() -> ssl.SSLContext:
            return ssl.create_default_context(cafile=str(tls.certificate))

        def said(mail: Mail) -> tuple[str, str, str]:
            ways = Ways({"mail": mail}, ("@plant.example",))
            post.outbox = Outbox(post.house, ways, log(post.log))
            post.later(hours=1)
            post.send()
            return post.states()["tess"]

        way = ("127.0.0.1", box.port, "smtp+starttls", SENDER, "book")
        assert said(Mail(*way, "hush")) == ("waiting", "certificate", "")
        assert said(Mail(*way, "wrong", trusting)) == ("waiting", "sign-in", "535")
        open_way = ("127.0.0.1", plain.port, "smtp+starttls", SENDER)
        assert said(Mail(*open_way)) == ("waiting", "no-tls", "")
        assert (box.came, plain.came) == (0, 0)
        assert said(Mail(*way, "hush", trusting)) == ("sent", "", "")
        assert box.to == ["tess@plant.example"]
    assert "hush" not in post.log.getvalue()
