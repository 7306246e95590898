"""A long import is checked by other processes, with the same outcome as without them."""

import io
import subprocess
import sys
from collections.abc import Iterator
from itertools import islice

import pytest

from matbook.store import crew
from matbook.store.checking import checked, receive, send, serve
from matbook.store.contract import Written
from matbook.store.crew import checked_pieces, cut
from tests.store.books import notes

PYTHON = (sys.executable, "-c")


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[Written]:
    """A stream that counts as long, with something to refuse now and then."""
    monkeypatch.setattr(crew, "PIECE", 20)
    return [
        (hash_, text if number % 7 else text + " ")
        for number, (hash_, text) in enumerate(islice(notes(), 333))
    ]


def alone(written: list[Written]) -> list[crew.Piece]:
    return [(piece, checked(piece)) for piece in cut(written)]


@pytest.mark.parametrize("hands", [None, 0, 1, 3])
def test_any_number_of_hands_finds_the_same(written: list[Written], hands: int | None) -> None:
    assert list(checked_pieces(iter(written), hands)) == alone(written)


def test_a_short_stream_needs_nobody(
    written: list[Written], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(subprocess, "Popen", None)  # would fail if it were called
    assert list(checked_pieces(written[:80])) == alone(written[:80])
    assert list(checked_pieces([])) == []


@pytest.mark.parametrize(
    "command",
    [
        ("/nothing/here",),
        (*PYTHON, "raise SystemExit(3)"),
        (*PYTHON, "import sys; sys.stdin.buffer.read(1)"),
        (*PYTHON, "import sys; sys.stdin.buffer.read(9); sys.stdout.buffer.write(bytes(3))"),
        (*PYTHON, "import sys; sys.stdin.buffer.read(9); sys.stdout.buffer.write(b'9' + bytes(7))"),
        (
            *PYTHON,
            "import sys; sys.stdin.buffer.read(9); "
            "sys.stdout.buffer.write(b'\\x02' + bytes(7) + b'?!')",
        ),
    ],
    ids=["not there", "leaves", "leaves early", "cut short", "no answer", "nonsense"],
)
def test_a_hand_that_fails_costs_nothing_but_time(
    written: list[Written], command: tuple[str, ...]
) -> None:
    assert list(checked_pieces(iter(written), 2, command)) == alone(written)


def test_nobody_stays_behind(written: list[Written], monkeypatch: pytest.MonkeyPatch) -> None:
    hired: list[subprocess.Popen[bytes]] = []
    hire = subprocess.Popen

    def noted(*given: object, **more: object) -> subprocess.Popen[bytes]:
        hired.append(hire(*given, **more))  # type: ignore[call-overload]
        return hired[-1]

    monkeypatch.setattr(subprocess, "Popen", noted)
    pieces = checked_pieces(iter(written), 2)
    assert len(list(islice(pieces, 6))) == 6
    assert len(hired) == 2
    pieces.close()
    assert all(hand.poll() is not None for hand in hired)


def test_a_source_that_fails_is_heard(written: list[Written]) -> None:
    def torn() -> Iterator[Written]:
        yield from written
        raise EOFError

    with pytest.raises(EOFError):
        list(checked_pieces(torn(), 2))


def test_a_hand_answers_until_the_other_side_is_gone() -> None:
    pieces, answers = io.BytesIO(), io.BytesIO()
    asked = [list(islice(notes(), 3)), [("0" * 64, "{}")]]
    for piece in asked:
        send(pieces, piece)
    pieces.seek(0)
    serve(pieces, answers)
    answers.seek(0)
    assert [receive(answers) for _ in asked] == [checked(piece) for piece in asked]
    with pytest.raises(EOFError):
        receive(answers)
