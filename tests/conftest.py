"""Fixed seeds: a run that fails fails again. The long run looks further, from a seed it prints."""

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


@pytest.fixture(scope="session", autouse=True)
def solved_once() -> Iterator[None]:
    """Mat that cools alike in many tests is solved in the first: the same inputs, the same curves.

    Imported here, since what is measured must not be imported before the measuring begins.
    """
    from matbook.shift import ahead, families

    def forecast(layers: "list[Layer]", weather: Any, *more: float) -> "Forecast":
        return kept(tuple(layers), tuple(weather), *more)

    kept = lru_cache(maxsize=128)(ahead.forecast)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(families, "Family", lru_cache(maxsize=128)(families.Family))
        patch.setattr(ahead, "forecast", forecast)
        yield
