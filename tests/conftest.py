"""Fixed seeds: a run that fails fails again. The long run looks further, from a seed it prints."""

import gc
import os
from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from matbook.engine.forecasting import Forecast
    from matbook.engine.layers import Layer

settings.register_profile(
    "fixed",
    derandomize=True,
    deadline=None,
    database=None,
    max_examples=50,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "long", settings.get_profile("fixed"), max_examples=5000, derandomize=False, print_blob=True
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fixed"))


def pytest_collection_finish() -> None:
    """What is loaded by now stays: it isn't looked through for garbage again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(10_000, 20, 20)


@pytest.fixture(scope="session", autouse=True)
def solved_once() -> Iterator[None]:
    """Mat that cools alike in many tests is solved in the first: the same inputs, the same curves.

    Imported here, since what is measured must not be imported before the measuring begins.
    """
    from matbook.engine import family, forecasting

    def forecast(layers: "list[Layer]", weather: Any, *more: float) -> "Forecast":
        return kept(tuple(layers), tuple(weather), *more)

    kept = lru_cache(maxsize=40)(forecasting.forecast)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("matbook.shift.families.Family", lru_cache(maxsize=40)(family.Family))
        patch.setattr("matbook.shift.ahead.forecast", forecast)
        yield
