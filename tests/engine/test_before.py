"""A day with so many trucks: its ends are those of the published queue, and what is refused."""

import pytest

from matbook.engine.before import on_paper
from matbook.engine.queues import finite_source
from matbook.errors import OutOfRange

CYCLE_S, LAYING_S = 81 * 60.0, 6 * 60.0


@pytest.mark.parametrize("trucks", [8, 12])
def test_without_scatter_it_stands_as_the_deterministic_bound_says(trucks: int) -> None:
    """Finite source, fixed times: X = min(N / (Z + S), 1 / S), so it is idle 1 - X S of the time
    (12 trucks, 75 and 6 min: 8.889 loads an hour, idle 11.1 %)."""
    bound = finite_source(trucks, CYCLE_S - LAYING_S, LAYING_S, times="fixed")
    found = on_paper(trucks, CYCLE_S, LAYING_S, scatter=0.0, futures=50)
    assert found.middle == pytest.approx(bound.idle, abs=0.03)
    assert found.early == found.late


def test_scatter_and_bunches_cost_more_and_random_times_the_most() -> None:
    """With times as random as they get, 12 trucks leave the paver idle 21.8 % (published table)."""
    steady = on_paper(12, CYCLE_S, LAYING_S, scatter=0.0)
    some = on_paper(12, CYCLE_S, LAYING_S)
    held = on_paper(12, CYCLE_S, LAYING_S, held_up=0.9, scatter=0.3)
    assert steady.middle <= some.middle + 0.01
    assert some.middle < held.middle
    assert some.middle < finite_source(12, CYCLE_S - LAYING_S, LAYING_S).idle
    assert some.early <= some.middle <= some.late


@pytest.mark.parametrize(
    "given",
    [(0, CYCLE_S, LAYING_S), (5, 300.0, 300.0), (5, 9e4, 300.0), (5, CYCLE_S, 0.0)],
)
def test_what_cannot_be_is_refused(given: tuple[int, float, float]) -> None:
    with pytest.raises(OutOfRange):
        on_paper(*given)
    with pytest.raises(OutOfRange):
        on_paper(5, CYCLE_S, LAYING_S, scatter=2.0)
