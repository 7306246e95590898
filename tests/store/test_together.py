"""Several threads, one transaction: each gets its own, and one that fails fails alone."""

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor

import pytest

from matbook.store.together import MOST, Together


class Slow:
    """Doubles numbers once it is let; refuses 13, and with it whatever came in the same go."""

    def __init__(self) -> None:
        self.goes: list[list[int]] = []
        self.let = threading.Event()
        self.begun = threading.Event()

    def __call__(self, numbers: Sequence[int]) -> list[int]:
        self.begun.set()
        assert self.let.wait(10)
        self.goes.append(list(numbers))
        if 13 in numbers:
            raise ValueError("13")
        return [2 * number for number in numbers]


def all_while_the_first_is_at_work(
    slow: Slow, numbers: Sequence[int], wait_for: Callable[[Together[int, int]], int]
) -> list[int | str]:
    together = Together(slow, (ValueError,))

    def ask(number: int) -> int | str:
        try:
            return together(number)
        except ValueError as error:
            return str(error)

    with ThreadPoolExecutor(len(numbers)) as threads:
        first = threads.submit(ask, numbers[0])
        assert slow.begun.wait(10)
        rest = [threads.submit(ask, number) for number in numbers[1:]]
        while wait_for(together) < len(rest):
            threading.Event().wait(0.001)
        slow.let.set()
        return [found.result(10) for found in (first, *rest)]


def waiting(together: Together[int, int]) -> int:
    return len(together._waiting)


@pytest.mark.parametrize("count", [2, 5, MOST + 1, 2 * MOST + 5])
def test_whoever_comes_meanwhile_is_done_in_few_goes(count: int) -> None:
    slow = Slow()
    numbers = list(range(100, 100 + count))
    assert all_while_the_first_is_at_work(slow, numbers, waiting) == [2 * n for n in numbers]
    assert slow.goes[0] == [100]
    assert len(slow.goes) == 1 + -(-(count - 1) // MOST)
    assert sorted(n for go in slow.goes for n in go) == numbers


def test_one_that_fails_does_not_take_others_with_it() -> None:
    slow = Slow()
    found = all_while_the_first_is_at_work(slow, [1, 2, 13, 4], waiting)
    assert found == [2, 4, "13", 8]


def test_an_error_that_nobody_is_to_blame_for_is_heard_by_whoever_meets_it() -> None:
    def full(numbers: Sequence[int]) -> list[int]:
        raise OSError("full")

    together = Together(full, (ValueError,))
    for number in (1, 2):
        with pytest.raises(OSError, match="full"):
            together(number)


def test_after_a_failure_the_next_is_done() -> None:
    slow = Slow()
    slow.let.set()
    together = Together(slow, (ValueError,))
    with pytest.raises(ValueError, match="13"):
        together(13)
    assert together(4) == 8
