"""Turns at pushing: a few at a time, and everybody else is told when to come."""

import asyncio

from matbook.server.turns import AT_A_TIME, FIRST_GUESS_S, LONGEST_S, Turns


class Clock:
    """Seconds that pass when they are told to."""

    now = 1000.0

    def __call__(self) -> float:
        return self.now


def test_each_is_told_a_turn_of_its_own() -> None:
    turns = Turns(2, Clock())
    told = [turns.come_again_s() for _ in range(100)]
    assert told == sorted(told)
    assert told[-1] == round(100 * FIRST_GUESS_S)
    assert max(told.count(second) for second in set(told)) <= 1 / FIRST_GUESS_S


def test_turns_that_have_passed_are_forgotten_and_none_is_too_far_off() -> None:
    clock = Clock()
    turns = Turns(2, clock)
    told = [turns.come_again_s() for _ in range(10_000)]
    assert told[-1] == LONGEST_S
    clock.now += LONGEST_S
    assert turns.come_again_s() == 1


async def hold(turns: Turns, clock: Clock, seconds: float, log: list[int]) -> None:
    async with turns.taken():
        log.append(len(log))
        await asyncio.sleep(0)
        clock.now += seconds


def test_so_many_work_and_so_many_wait() -> None:
    async def crowd() -> tuple[bool, int]:
        clock, log = Clock(), list[int]()
        turns = Turns(AT_A_TIME + 1, clock)
        work = [asyncio.create_task(hold(turns, clock, 0.1, log)) for _ in range(AT_A_TIME + 1)]
        await asyncio.sleep(0)
        full, at_work = turns.full, len(log)
        await asyncio.gather(*work)
        assert not turns.full
        return full, at_work

    assert asyncio.run(crowd()) == (True, AT_A_TIME)


def test_slower_pushes_are_given_more_time_and_fewer_may_wait() -> None:
    async def slow() -> tuple[int, bool]:
        clock = Clock()
        turns = Turns(100, clock)
        for _ in range(50):
            await hold(turns, clock, 4.0 * AT_A_TIME, [])
        again = turns.come_again_s()
        work = [asyncio.create_task(hold(turns, clock, 0, [])) for _ in range(AT_A_TIME)]
        await asyncio.sleep(0)
        full = turns.full
        await asyncio.gather(*work)
        return again, full

    assert asyncio.run(slow()) == (4, True)
