"""Two invented jobs, as files: a plan, the plant's tickets, and what people wrote on site."""

from importlib import resources
from importlib.resources.abc import Traversable
from typing import Final

from matbook.errors import NotFound

JOBS: Final = ("harrow", "kestrel")


def files(job: str) -> dict[str, Traversable]:
    """The files of one job, by name; raises NotFound.

    A ticket file's name has the working date of its shift.

    Example:
        >>> list(files("harrow"))  # doctest: +NORMALIZE_WHITESPACE
        ['README.md', 'entries.jsonl', 'plan.toml', 'rest-of-the-day.jsonl',
         'tickets-2026-06-16.csv']
    """
    if job not in JOBS:
        raise NotFound(f"There is no demo job “{job[:60]}”; there is {' and '.join(JOBS)}.")
    folder = resources.files(__name__) / job
    return {file.name: file for file in sorted(folder.iterdir(), key=lambda file: file.name)}
