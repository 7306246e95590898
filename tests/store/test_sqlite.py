"""The store in a file: what is on the disk, who else is at it, and files that aren't ours."""

import random
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, event

from matbook.book.entry import read_entry
from matbook.errors import FileRefused, MatbookError, NotFound, StoreBusy
from matbook.store import sqlite, tables
from matbook.store.migrating import steps
from matbook.store.sqlite import APPLICATION, VERSION, SqliteStore, open_store
from tests.store.books import NOW, book, notes, pairs

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "ridge.book"


@pytest.fixture
def store(path: Path) -> Iterator[SqliteStore]:
    with open_store(path) as store:
        yield store


def asked(path: Path, question: str) -> list[tuple[object, ...]]:
    """What another SQLite program finds in the file."""
    connection = sqlite3.connect(path)
    try:
        return connection.execute(question).fetchall()
    finally:
        connection.close()


# What is on the disk


def test_what_was_kept_is_there_when_opened_again(path: Path) -> None:
    with open_store(path) as store:
        store.append(pairs(book()), NOW)
        name = store.attach(b"a photo")
        before = (list(store.entries("ridge")), store.heads("ridge"), store.epoch())
    with open_store(path, create=False) as store:
        assert (list(store.entries("ridge")), store.heads("ridge"), store.epoch()) == before
        assert store.attachment(name) == b"a photo"
    assert sorted(file.name for file in path.parent.iterdir()) == [path.name, f"{path.name}.files"]


def test_the_file_says_whose_it_is(store: SqliteStore, path: Path) -> None:
    assert asked(path, "PRAGMA application_id") == [(APPLICATION,)]
    assert asked(path, "PRAGMA user_version") == [(VERSION,)]
    assert asked(path, "PRAGMA journal_mode") == [("wal",)]


@pytest.mark.parametrize(
    ("pragma", "expected"), [("synchronous", 2), ("foreign_keys", 1), ("fullfsync", 1)]
)
def test_every_connection_is_careful(store: SqliteStore, pragma: str, expected: int) -> None:
    with store._reading() as connection:
        assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar_one() == expected
    with store._writing(NOW) as writer:
        assert writer._ask(f"PRAGMA {pragma}") == [(expected,)]


def test_tables_are_strict_and_keyed_by_job_first(store: SqliteStore, path: Path) -> None:
    rows = asked(path, "SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
    ours = {name: strict for name, strict in rows if name in tables.metadata.tables}
    assert ours == dict.fromkeys(tables.metadata.tables, 1)
    for table in tables.metadata.tables.values():
        if table.name != "store":
            assert next(iter(table.primary_key)).name == "job"


def test_the_steps_lead_to_the_tables(store: SqliteStore, path: Path, tmp_path: Path) -> None:
    with store._reading() as connection:
        assert compare_metadata(MigrationContext.configure(connection), tables.metadata) == []
    direct = create_engine(f"sqlite:///{tmp_path / 'direct'}")
    tables.metadata.create_all(direct)
    direct.dispose()
    for flag in ("strict", "wr"):
        question = f"SELECT name, {flag} FROM pragma_table_list WHERE schema = 'main'"
        made, stepped = set(asked(tmp_path / "direct", question)), set(asked(path, question))
        assert {row for row in stepped if row[0] in tables.metadata.tables} == {
            row for row in made if row[0] in tables.metadata.tables
        }


def test_the_version_is_the_last_step() -> None:
    heads = ScriptDirectory.from_config(steps()).get_heads()
    assert [int(head) for head in heads] == [VERSION]


@pytest.mark.parametrize(
    ("read", "plan"),
    [
        (lambda store: list(store.entries("ridge")), "PRIMARY KEY (job=? AND cursor>?)"),
        (
            lambda store: list(store.entries("ridge", shift="x")),
            "entry_shift (job=? AND shift=? AND cursor>?)",
        ),
        (lambda store: store.shifts("ridge"), "entry_shift (job=? AND shift>?)"),
        (lambda store: store.entry("ridge", book()[0].id), "entry_once (job=? AND id=?)"),
        (lambda store: store.entry("ridge", book()[0].hash), "COVERING INDEX entry_once (job=?)"),
        (lambda store: store.heads("ridge"), "PRIMARY KEY (job=?)"),
    ],
)
def test_reading_finds_its_way_by_an_index(
    store: SqliteStore, read: Callable[[SqliteStore], object], plan: str
) -> None:
    store.append(pairs(book()), NOW)
    said: list[tuple[str, tuple[object, ...]]] = []
    event.listen(
        store._engine,
        "before_cursor_execute",
        lambda _c, _u, statement, parameters, *_: said.append((statement, parameters)),
    )
    read(store)
    with store._reading() as connection:
        steps = [
            str(row[3])
            for statement, parameters in list(said)
            for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)
        ]
    assert any(plan in step for step in steps), steps
    assert not [step for step in steps if step.startswith("SCAN entry") or "TEMP B-TREE" in step]


def test_writing_finds_its_way_by_an_index(store: SqliteStore) -> None:
    do = store._statements
    with store._writing(NOW) as writer:
        for statement, values, plan in (
            (do.known(2), ("ridge", b"1", b"2"), "entry_once (job=? AND id=?)"),
            (do.chain, ("ridge", "phone-1", 2), "entry_chain (job=? AND device=? AND seq=?)"),
            (do.last, ("ridge",), "PRIMARY KEY (job=?)"),
        ):
            steps = [str(row[3]) for row in writer._ask(f"EXPLAIN QUERY PLAN {statement}", *values)]
            assert len(steps) == 1
            assert plan in steps[0]


# Others at the same file


WRITE = """
import sys
from itertools import islice
from pathlib import Path
from matbook.store.sqlite import open_store
from tests.store.books import notes
with open_store(Path(sys.argv[1]), wait_s=30) as store:
    for entry in islice(notes(device=sys.argv[2]), 60):
        assert store.append([entry], "now")[0].state == "kept"
"""


def started(code: str, *arguments: object) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-c", code, *map(str, arguments)], cwd=ROOT)


def test_several_processes_make_and_fill_one_file_and_a_reader_misses_nothing(path: Path) -> None:
    devices = [f"phone-{number}" for number in range(3)]
    writers = [started(WRITE, path, device) for device in devices]
    read: list[int] = []
    with open_store(path, wait_s=30) as store:
        running = True
        while running:
            running = any(writer.poll() is None for writer in writers)
            after = read[-1] if read else 0
            read += [stored.cursor for stored in store.entries("ridge", after=after)]
        assert [writer.returncode for writer in writers] == [0, 0, 0]
        assert read == list(range(1, 181))
        assert {d: h[0].seq for d, h in store.heads("ridge").items()} == dict.fromkeys(devices, 60)


def test_threads_share_one_store(store: SqliteStore) -> None:
    def write(device: str) -> None:
        for entry in islice(notes(device=device), 30):
            store.append([entry], NOW)
            list(store.entries("ridge", limit=5))

    threads = [threading.Thread(target=write, args=(f"phone-{n}",)) for n in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [stored.cursor for stored in store.entries("ridge")] == list(range(1, 91))


def test_readers_see_the_book_as_it_was_until_the_writer_is_done(path: Path) -> None:
    with open_store(path) as writer, open_store(path) as reader:
        writer.append(list(islice(notes(), 3)), NOW)

        def watched() -> Iterator[tuple[str, str]]:
            for number, entry in enumerate(islice(notes(), 6000)):
                if number == 5999:  # four thousand are written by now
                    assert len(list(reader.entries("ridge"))) == 3
                    assert reader.heads("ridge")["phone-1"][0].seq == 3
                yield entry

        assert writer.append_all(watched(), NOW).kept == 5997
        assert len(list(reader.entries("ridge"))) == 6000


def test_a_writer_who_waits_too_long_is_told(path: Path) -> None:
    entry = next(notes())
    with open_store(path) as first, open_store(path, wait_s=0.05) as second:
        with first._writing(NOW), pytest.raises(StoreBusy, match=r"ridge\.book.*try again"):
            second.append([entry], NOW)
        assert second.append([entry], NOW)[0].state == "kept"


def test_opening_and_reading_do_not_wait_for_a_writer(path: Path) -> None:
    with open_store(path) as writer:
        writer.append(list(islice(notes(), 3)), NOW)
        with writer._writing(NOW), open_store(path, wait_s=0) as reader:
            assert len(list(reader.entries("ridge"))) == 3


def test_a_thread_that_waits_too_long_is_told(path: Path) -> None:
    with open_store(path, wait_s=0.05) as store, store._writing(NOW):
        failures: list[str] = []

        def write() -> None:
            try:
                store.append([next(notes())], NOW)
            except StoreBusy as busy:
                failures.append(str(busy))

        thread = threading.Thread(target=write)
        thread.start()
        thread.join()
        assert len(failures) == 1


# Opening


OPEN = """
import sys
from pathlib import Path
from matbook.store.sqlite import open_store
open_store(Path(sys.argv[1])).close()
assert "alembic" not in sys.modules
"""


def test_a_file_of_today_is_opened_without_going_through_the_steps(path: Path) -> None:
    open_store(path).close()
    assert started(OPEN, path).wait() == 0


def test_an_older_file_is_brought_up_and_keeps_what_it_has(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_store(path) as store:
        store.append(pairs(book()), NOW)
        epoch = store.epoch()
    monkeypatch.setattr(sqlite, "VERSION", VERSION + 1)
    with open_store(path) as store:
        assert store.epoch() == epoch
        assert len(list(store.entries("ridge"))) == len([e for e in book() if e.job == "ridge"])
    assert asked(path, "PRAGMA user_version") == [(VERSION + 1,)]


def test_whoever_comes_second_leaves_the_new_file_alone(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_store(path) as store:
        epoch = store.epoch()
    look = sqlite._version
    looks = iter([lambda *_: 0, look])  # new at first sight, made by the time we hold it
    monkeypatch.setattr(sqlite, "_version", lambda *given: next(looks)(*given))
    with open_store(path) as store:
        assert store.epoch() == epoch


def test_no_file_is_made_unless_wanted(path: Path) -> None:
    with pytest.raises(NotFound, match=r"no book at .*ridge\.book"):
        open_store(path, create=False)
    assert not path.exists()


def refused(path: Path) -> str:
    with pytest.raises(FileRefused) as refusal:
        open_store(path)
    return str(refusal.value)


def test_an_empty_file_becomes_a_book(path: Path) -> None:
    path.touch()
    with open_store(path) as store:
        assert store.jobs() == []


def test_a_text_file_is_refused(path: Path) -> None:
    path.write_text("ticket;net\n" * 400)
    assert "isn't a book" in refused(path)
    assert path.read_text() == "ticket;net\n" * 400


@pytest.mark.parametrize(
    "ours",
    ["CREATE TABLE t (a)", "PRAGMA user_version = 1", "PRAGMA application_id = 7"],
)
def test_another_programs_database_is_refused_and_left_alone(path: Path, ours: str) -> None:
    connection = sqlite3.connect(path)
    connection.execute(ours)
    connection.close()
    before = path.read_bytes()
    assert "isn't a book" in refused(path)
    assert path.read_bytes() == before


def test_a_newer_matbooks_file_is_refused(path: Path) -> None:
    open_store(path).close()
    asked(path, f"PRAGMA user_version = {VERSION + 1}")
    assert f"newer Matbook (its form is {VERSION + 1}" in refused(path)


def test_a_place_that_can_not_hold_a_file_is_refused(path: Path, tmp_path: Path) -> None:
    assert "can't be opened" in refused(tmp_path)
    assert "can't be opened" in refused(tmp_path / "none" / "ridge.book")


def test_an_sqlite_too_old_is_refused(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite3, "sqlite_version_info", (3, 34, 1))
    assert "needs SQLite 3.37" in refused(path)


def test_a_damaged_file_is_refused_when_the_damage_is_met(path: Path) -> None:
    with open_store(path) as store:
        store.append_all(islice(notes(), 3000), NOW)
    whole = path.read_bytes()
    path.write_bytes(whole[:16384] + random.Random(1).randbytes(len(whole) - 16384))
    with open_store(path) as store:
        with pytest.raises(FileRefused, match="is damaged"):
            list(store.entries("ridge"))
        with pytest.raises(FileRefused, match="is damaged"):
            store.append(list(islice(notes(), 3002)), NOW)


def test_a_full_disk_keeps_nothing_of_the_call(store: SqliteStore, path: Path) -> None:
    store.append(list(islice(notes(), 5)), NOW)
    with store._writing(NOW) as writer:
        writer._ask("PRAGMA max_page_count = 40")
    with pytest.raises(FileRefused, match="is full; nothing was kept"):
        store.append_all(islice(notes(), 3000), NOW)
    assert len(list(store.entries("ridge"))) == 5
    assert asked(path, "PRAGMA integrity_check") == [("ok",)]


@pytest.mark.parametrize("code", sqlite._SAYS)
def test_every_row_of_the_table_of_sentences(code: int, path: Path) -> None:
    error = sqlite3.OperationalError("from a test")
    error.sqlite_errorcode = code | 256  # an extended code, as SQLite gives them
    kind, _ = sqlite._SAYS[code]
    with pytest.raises(kind, match=r"ridge\.book") as told, sqlite._explained(path):
        raise error
    assert isinstance(told.value, MatbookError)
    assert "{" not in str(told.value)


def test_a_mistake_of_ours_is_not_explained_away(path: Path) -> None:
    def mistaken(store: SqliteStore) -> None:
        with store._writing(NOW) as writer:
            writer._ask("NOT SQL")

    with open_store(path) as store:
        with pytest.raises(sqlite3.OperationalError, match="syntax"):
            mistaken(store)
        assert store.append([next(notes())], NOW)[0].state == "kept"


def test_an_error_in_the_middle_takes_the_whole_call_back(store: SqliteStore) -> None:
    def torn() -> None:
        with store._writing(NOW) as writer:
            writer._cursor.execute("INSERT INTO job VALUES ('ridge')", ())
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        torn()
    assert store.jobs() == []


def test_stored_entries_open_again(store: SqliteStore) -> None:
    store.append(pairs(book()), NOW)
    for stored in store.entries("ridge"):
        assert read_entry(stored.text, stored.hash).job == "ridge"


@pytest.mark.long
def test_a_new_file_opened_by_many_at_once_is_made_once(tmp_path: Path) -> None:
    """Two races were found so: a file half made took for another's, and no wait for the log."""
    with ThreadPoolExecutor(6) as pool:
        for round_ in range(300):
            paths = [tmp_path / str(round_) / "books.sqlite"] * 6
            paths[0].parent.mkdir()
            stores = list(pool.map(open_store, paths))
            assert len({store.epoch() for store in stores}) == 1
            for store in stores:
                store.close()
