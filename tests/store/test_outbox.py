"""What every store promises of notices on their way out."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from matbook.book.sending import Sending
from matbook.errors import FileRefused
from matbook.store import sql_outbox
from matbook.store.contract import Store
from matbook.store.memory import MemoryStore
from matbook.store.sqlite import open_store
from tests.store.books import NOW, notes

ONE = Sending("a" * 36, "pia", "mail", "waiting", NOW)
OTHER = ONE._replace(person="cole", how="sms")
NEVER = ONE._replace(entry="b" * 36, state="refused", why="no-mail")


@pytest.fixture(params=["memory", "sqlite"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    with MemoryStore() if request.param == "memory" else open_store(tmp_path / "book") as store:
        store.append([next(notes())], NOW)
        yield store


def test_a_notice_is_put_in_line_once_for_each_person(store: Store) -> None:
    assert (store.outbox_read("ridge"), store.sendings("ridge")) == (0, [])
    store.put_in_line("ridge", 7, [ONE, OTHER, NEVER], 100)
    assert store.outbox_read("ridge") == 7
    store.put_in_line("ridge", 9, [ONE._replace(how="sms")], 200)
    store.put_in_line("ridge", 8, [], 200)
    assert store.outbox_read("ridge") == 9, "it never goes back"
    assert store.sendings("ridge") == [OTHER, ONE, NEVER]
    assert (store.outbox_read("vale"), store.sendings("vale")) == (0, [])


def test_who_takes_one_has_it_alone_for_a_time(store: Store) -> None:
    store.put_in_line("ridge", 1, [ONE, OTHER, NEVER], 100)
    assert store.take_from_line(99, 400) is None
    first, second = store.take_from_line(100, 400), store.take_from_line(100, 500)
    assert first == ("ridge", OTHER._replace(tries=1), 100)
    assert second == ("ridge", ONE._replace(tries=1), 100)
    assert store.take_from_line(399, 900) is None
    assert store.take_from_line(400, 900) == ("ridge", OTHER._replace(tries=2), 100)


def test_what_became_of_it_is_kept_and_what_waits_comes_again(store: Store) -> None:
    store.put_in_line("ridge", 1, [ONE, OTHER], 100)
    for _ in range(2):
        store.take_from_line(100, 400)
    sent = ONE._replace(state="sent", at="later", tries=1)
    waits = OTHER._replace(why="said-no", said="451", tries=1)
    store.put_back("ridge", sent, 130)
    store.put_back("ridge", waits, 130)
    assert store.sendings("ridge") == [waits, sent]
    assert store.take_from_line(129, 900) is None
    assert store.take_from_line(130, 900) == ("ridge", waits._replace(tries=2), 100)
    assert store.take_from_line(10**9, 10**9) == ("ridge", waits._replace(tries=3), 100)
    assert store.sendings("ridge")[0] == waits._replace(tries=3)


def test_being_put_in_line_and_having_read_are_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> int:
        raise FileRefused("the disk failed between the two")

    with open_store(tmp_path / "book") as store:
        store.append([next(notes())], NOW)
        with monkeypatch.context() as patched:
            patched.setattr(sql_outbox, "_read", fails)
            with pytest.raises(FileRefused):
                store.put_in_line("ridge", 1, [ONE], 100)
        assert (store.sendings("ridge"), store.outbox_read("ridge")) == ([], 0)
        store.put_in_line("ridge", 1, [ONE], 100)
    with open_store(tmp_path / "book") as store:
        assert (store.sendings("ridge"), store.outbox_read("ridge")) == ([ONE], 1)
