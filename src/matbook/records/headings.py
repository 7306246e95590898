"""Which column of a ticket file holds what: as the plan says, else guessed from its heading."""

import re
import tomllib
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from typing import Any, Final

from matbook.engine import units
from matbook.errors import FileRefused
from matbook.plan.model import Plan, Plant

Words = tuple[str, ...]

_TABLE: Final[Mapping[str, Any]] = tomllib.loads(
    (resources.files("matbook.records") / "headings.toml").read_text(encoding="utf-8")
)
FIELDS: Final[Words] = tuple(_TABLE["fields"])
"""What a column can be; a plan's `columns` name a heading for each, or "" to leave one out."""

MASSES: Final = ("gross", "tare", "net")
AMOUNTS: Final[Mapping[str, str]] = dict.fromkeys(MASSES, "mass") | {"temp": "temperature"}
"""Fields that are a number with a unit, and what they measure."""

RANKS: Final = ("best", "plain", "vague", "within")
HOW: Final[Mapping[str, str]] = {
    "plan": "as the plan says",
    "best": "sure",
    "plain": "sure",
    "vague": "likely",
    "within": "a guess",
}
"""How sure a column is, in words."""

T_OR_TON: Final = "t or ton"
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_APART = re.compile(r"[\W_]+")


@dataclass(frozen=True, slots=True)
class Seen:
    """A heading taken for a field: by which rank of words, and the unit it names."""

    field: str
    rank: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is read."""

    field: str
    heading: str
    index: int
    how: str
    unit: str = ""
    unit_in_heading: bool = False


def words_of(text: str) -> Words:
    """A text as words to compare: lower case, no accents or punctuation.

    Example:
        >>> words_of("NºTicket"), words_of("Poids_brut (kg)"), words_of("Temp. °C")
        (('n', 'ticket'), ('poids', 'brut', 'kg'), ('temp', 'c'))
    """
    apart = _CAMEL.sub(" ", text.replace("º", "°"))
    plain = unicodedata.normalize("NFKD", apart)
    letters = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    return tuple(word for word in _APART.split(letters) if word)


def phrases(*names: str) -> dict[Words, str]:
    """Every phrase under a table of `headings.toml`, and the key it stands at."""
    table: Any = _TABLE
    for name in names:
        table = table[name]
    return {tuple(p.split()): key for key, listed in table.items() for p in listed}


VALUES: Final = phrases("values")
MONTHS: Final = {words[0]: int(number) for words, number in phrases("months").items()}
_UNITS: Final = phrases("units")
_FILLERS: Final = frozenset(_TABLE["passed_over"]["fillers"])
_OTHER: Final = tuple(tuple(p.split()) for p in _TABLE["passed_over"]["other"])
_EXACT: Final[Mapping[Words, Seen]] = {
    tuple(phrase.split()): Seen(field, rank)
    for field, ranks in _TABLE["fields"].items()
    for rank in RANKS[:3]
    for phrase in ranks.get(rank, ())
}
_WITHIN: Final = tuple(
    (words, seen.field)
    for words, seen in sorted(_EXACT.items(), key=lambda pair: -len(pair[0]))
    if seen.rank != "vague" and "within" in _TABLE["fields"][seen.field]
)


@lru_cache(maxsize=4096)
def recognise(heading: str) -> Seen | None:
    """The field that a heading is taken for, if any.

    Example:
        >>> recognise("Net Wt (lbs)"), recognise("Cumulative net")
        (Seen(field='net', rank='best', unit='lb'), None)
        >>> recognise("N° de bon")
        Seen(field='ticket', rank='best', unit='')
    """
    words = words_of(heading[:200])
    if any(_holds(words, phrase) for phrase in _OTHER):
        return None
    unit, rest = _unit_in(words)
    bare = tuple(word for word in rest if word not in _FILLERS)
    for candidate in (words, rest, bare):
        if seen := _EXACT.get(candidate):
            return Seen(seen.field, seen.rank, unit if seen.field in AMOUNTS else "")
    for phrase, field in _WITHIN:
        if _holds(bare, phrase):
            return Seen(field, "within", unit)
    return None


@lru_cache(maxsize=256)
def unit_named(text: str) -> str:
    """The unit that a text names, as `headings.toml` has it; empty if it names none.

    Example:
        >>> unit_named("lbs."), unit_named("°F"), unit_named("Tons"), unit_named("m")
        ('lb', 'degF', 't or ton', '')
    """
    return _UNITS.get(words_of(text), "")


def which_ton(plan: Plan, plant: Plant) -> str:
    """What a bare "ton" is in a plant's file: as the plan says of the plant, else of the job."""
    if plant.unit in ("t", "ton"):
        return plant.unit
    return "t" if plan.job.units == "metric" else "ton"


def columns(headings: Sequence[str], plan: Plan, plant: Plant) -> dict[str, Column]:
    """The column of each field: named by the plan, and the rest by their headings.

    Raises:
        FileRefused: The plan names a heading that isn't there, two headings could be the same
            field, or there is no mass, or no ticket number from a plant that numbers tickets.
    """
    found = _planned(headings, plant)
    taken = {column.index for column in found.values()}
    guesses: dict[str, list[Column]] = {}
    for index, heading in enumerate(headings):
        seen = recognise(heading)
        if seen and index not in taken and seen.field not in plant.columns:
            column = Column(seen.field, heading, index, seen.rank, seen.unit)
            guesses.setdefault(seen.field, []).append(column)
    found |= {field: _best(field, seen, plant) for field, seen in guesses.items()}
    _require(found, headings, plant)
    return {field: _with_unit(found[field], plan, plant) for field in FIELDS if field in found}


def _planned(headings: Sequence[str], plant: Plant) -> dict[str, Column]:
    places = {heading.casefold(): at for at, heading in reversed([*enumerate(headings)])}
    found = {}
    for field, named in plant.columns.items():
        if field not in FIELDS:
            raise FileRefused(
                f"The plan names a heading for “{field}”, at the plant “{plant.id}”; a column can "
                f"be {', '.join(FIELDS)}."
            )
        if not named:
            continue
        at = places.get(" ".join(named.split()).casefold())
        if at is None:
            raise FileRefused(
                f"The plan says that “{named}” is the {said(field)} in files of the plant "
                f"“{plant.id}”, but this file's headings are {_listed(headings)}."
            )
        found[field] = Column(field, headings[at], at, "plan", _unit_in(words_of(headings[at]))[0])
    return found


def _best(field: str, seen: Sequence[Column], plant: Plant) -> Column:
    top = min(RANKS.index(column.how) for column in seen)
    first, *others = [column for column in seen if column.how == RANKS[top]]
    if others:
        named = _listed([first.heading, *(column.heading for column in others)])
        raise FileRefused(
            f"More than one heading could be the {said(field)}: {named}. {_write(plant)}"
            f'{{ {field} = "{first.heading}" }}, or "" to read none of them.'
        )
    return first


def _require(found: Mapping[str, Column], headings: Sequence[str], plant: Plant) -> None:
    if "net" not in found and not ("gross" in found and "tare" in found):
        raise FileRefused(
            f"No heading could be the net mass, nor gross and tare; there is "
            f'{_listed(headings)}. {_write(plant)}{{ net = "…" }}.'
        )
    if "ticket" not in found and plant.numbers != "none":
        raise FileRefused(
            f"No heading could be the ticket number; there is {_listed(headings)}. "
            f'{_write(plant)}{{ ticket = "…" }}; or say that this plant has none: '
            'numbers = "none".'
        )


def _with_unit(column: Column, plan: Plan, plant: Plant) -> Column:
    measure = AMOUNTS.get(column.field)
    if measure is None:
        return column
    unit = which_ton(plan, plant) if column.unit == T_OR_TON else column.unit
    named = bool(unit) and units.dimension(unit) == measure
    if not named:
        celsius = "degC" if plan.job.units == "metric" else "degF"
        unit = plant.unit if measure == "mass" else celsius
    return replace(column, unit=unit, unit_in_heading=named)


def said(field: str) -> str:
    """A field as a person says it.

    Example:
        >>> said("net"), said("job_on_ticket")
        ('net mass', 'job on ticket')
    """
    if field in MASSES:
        return f"{field} mass"
    return _SAID.get(field, field.replace("_", " "))


_SAID: Final[Mapping[str, str]] = {
    "ticket": "ticket number",
    "temp": "temperature",
    "loaded": "time of loading",
    "void": "mark of void tickets",
    "status": "status of a ticket",
}


def _write(plant: Plant) -> str:
    return f"Name the right one in the plan, at the plant “{plant.id}”: columns = "


def _listed(headings: Sequence[str]) -> str:
    shown = ", ".join(f"“{heading[:40]}”" for heading in headings[:20] if heading.strip())
    return shown + (" and others" if len(headings) > 20 else "")


def _unit_in(words: Words) -> tuple[str, Words]:
    for length in (2, 1):
        for at in range(len(words) - length, -1, -1):
            unit = _UNITS.get(words[at : at + length])
            if unit:
                return unit, words[:at] + words[at + length :]
    return "", words


def _holds(words: Words, phrase: Words) -> bool:
    size = len(phrase)
    return any(words[at : at + size] == phrase for at in range(len(words) - size + 1))
