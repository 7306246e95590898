"""Two invented jobs, as files: a plan, the plant's tickets, and what people wrote on site."""

from collections.abc import Mapping
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Final

from matbook.errors import NotFound

JOBS: Final[Mapping[str, str]] = {
    # job -> the shift that its ticket file is of
    "harrow": "harrow/2026-06-16/a/day",
    "kestrel": "kestrel/2026-10-31/b/night",
}
NAMES: Final = ("plan.toml", "tickets.csv", "entries.jsonl", "README.md")


def files(job: str) -> dict[str, Traversable]:
    """The files of one job, by name; raises NotFound.

    Example:
        >>> files("harrow")["plan.toml"].read_text("utf-8").splitlines()[0]
        '# Merrowby County, Harrowfen Road: the plan of the metric demo.'
    """
    if job not in JOBS:
        raise NotFound(f"There is no demo job “{job[:60]}”; there is {' and '.join(JOBS)}.")
    folder = resources.files(__name__) / job
    return {name: folder / name for name in NAMES}
