"""Reading a plan: every mistake at once, each with its place and what is allowed.

    text -> document (TOML) -> draft (each field by the form) -> relations -> records

A place counts tables from 1, as people do, and gives the name where there is one, such as
`lanes[2] “W”, width`.
"""

import re
import tomllib
from collections.abc import Mapping
from typing import Any, Final

from matbook.errors import PlanRefused
from matbook.plan.building import build
from matbook.plan.draft import Draft
from matbook.plan.model import Plan
from matbook.plan.relations import RELATIONS

LONGEST: Final = 200_000
"""Characters of a plan: what its entry in the book can carry."""

_WHERE = re.compile(r"(.*?) \(at (?:line (\d+), column (\d+)|(end of document))\)", re.DOTALL)


def read_plan(text: str) -> Plan:
    """The plan that a TOML text holds.

    Args:
        text: The whole text, at most `LONGEST` characters.

    Raises:
        PlanRefused: With every mistake, as (place, sentence).

    Example:
        >>> read_plan("matbook = 1\\nroad = 3")
        Traceback (most recent call last):
        matbook.errors.PlanRefused: road: “road” is not known here; did you mean “roads”?
        ...
    """
    if len(text) > LONGEST:
        sentence = f"The plan has {len(text)} characters; at most {LONGEST} are allowed."
        raise PlanRefused([("plan", sentence)])
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise PlanRefused([_syntax(error)]) from None
    return read_document(document)


def read_document(document: Mapping[str, Any]) -> Plan:
    """The plan that a document holds, once TOML has been read; raises PlanRefused."""
    draft = Draft(document)
    for relation in RELATIONS:
        draft.mistakes += relation(draft)
    if draft.mistakes:
        found = sorted(draft.mistakes, key=lambda mistake: mistake.order)
        raise PlanRefused([(mistake.place, mistake.sentence) for mistake in found])
    return build(draft, document)


def _syntax(error: Exception) -> tuple[str, str]:
    match = _WHERE.fullmatch(str(error))
    if match is None:
        why = "it is nested too deep" if isinstance(error, RecursionError) else str(error)
        return "plan", f"This is not TOML as plans are written in: {why[:120]}."
    place = "end of the plan" if match[4] else f"line {match[2]}, column {match[3]}"
    return place, f"This is not TOML as plans are written in: {match[1][:120]}."
