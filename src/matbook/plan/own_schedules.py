"""Pay schedules of the owner's, taken into the text of a plan, so that its book needs no file."""

import json
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from matbook.engine.schedule_reader import pay_schedules

NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")

Beside = Callable[[str], str | None]
"""The text of a schedule's file by its name without .toml; None where there is no such file."""


def with_schedules(text: str, beside: Beside) -> str:
    """A plan's text with the schedules behind it that its lots are paid by and that lie beside it.

    What ships, and what the plan holds already, is left as it is; so is a plan that can't be read.

    Args:
        text: The plan as it was written.
        beside: Looks for a file.

    Example:
        >>> plan = '[[lots]]\\nid = "mat"\\nschedule = "ours"\\n'
        >>> print(with_schedules(plan, {"ours": 'title = "Ours"'}.get))
        [[lots]]
        id = "mat"
        schedule = "ours"
        <BLANKLINE>
        [[schedules]]
        id = "ours"
        text = '''
        title = "Ours"
        '''
        <BLANKLINE>
    """
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError):
        return text
    for name in dict.fromkeys(_wanted(document)):
        found = beside(name)
        if found is not None:
            text = f'{text.rstrip()}\n\n[[schedules]]\nid = "{name}"\ntext = {_quoted(found)}\n'
    return text


def _wanted(document: Mapping[str, Any]) -> Iterator[str]:
    """Names of schedules that lots go by and that are neither shipped nor in the plan."""
    held = [one.get("id") for one in _tables(document, "schedules")]
    for lot in _tables(document, "lots"):
        name = lot.get("schedule")
        known = name in held or name in pay_schedules()
        if isinstance(name, str) and NAME.fullmatch(name) and not known:
            yield name


def _tables(document: Mapping[str, Any], name: str) -> list[Mapping[str, Any]]:
    rows = document.get(name)
    return [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []


def _quoted(text: str) -> str:
    """As it was written, line by line; on one line where it holds what would end that."""
    if "'''" in text or text.endswith("'"):
        return json.dumps(text, ensure_ascii=False)
    return f"'''\n{text.rstrip()}\n'''"
