"""Fixed seeds: a run that fails fails again. The long run looks further, from a seed it prints."""

import os

from hypothesis import HealthCheck, settings

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
