"""Reads pay schedules from TOML, and names every mistake of a file at once, each with its place."""

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from matbook.engine.samples import MOST_RESULTS
from matbook.engine.schedule_faults import ABOUT, KEYS, Raw, ends, faults
from matbook.engine.schedules import (
    Band,
    Bands,
    Composite,
    Curve,
    Group,
    Least,
    PaySchedule,
    Polynomial,
    Try,
)
from matbook.errors import FileRefused, NotFound


def read_schedule(text: str, name: str) -> PaySchedule | Composite:
    """Read a pay schedule that somebody wrote, checking all of it.

    Args:
        text: The TOML text.
        name: What it is called by.

    Returns:
        The schedule, or how a composite is made.

    Raises:
        FileRefused: A sentence for each mistake: something missing or unknown, a gap between
            bands or groups, limits the wrong way round, a factor that can't be.

    Source: definition.

    Example:
        >>> about = 'title = "T"\\nsource = "S"\\nedition = "1"\\nstanding = "read"\\n'
        >>> read = read_schedule(
        ...     about
        ...     + 'measure = "percent within limits"\\n'
        ...     + "groups = [{from = 3, to = 10, polynomial = [0.55, 0.5]}]",
        ...     "mine",
        ... )
        >>> read.curve_at(90.0, 5).factor
        1.0
        >>> read_schedule(about, "mine")
        Traceback (most recent call last):
        ...
        matbook.errors.FileRefused: measure: it must be there.
        groups: there must be at least one.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise FileRefused(f"This is no TOML: {fault}.") from None
    mistakes = faults(raw)
    if mistakes:
        raise FileRefused("\n".join(mistakes))
    return _composite(raw, name) if "composite" in raw else _schedule(raw, name)


def pay_schedules() -> tuple[str, ...]:
    """The names of the schedules that ship; each says what it rests on.

    Source: definition.

    Example:
        >>> "colorado-quality-level" in pay_schedules()
        True
    """
    return tuple(_shipped())


def pay_schedule(name: str) -> PaySchedule:
    """One schedule that ships.

    Args:
        name: As `pay_schedules` lists it.

    Returns:
        The schedule.

    Raises:
        NotFound: There is no such schedule.

    Source: each schedule names its own.

    Example:
        >>> pay_schedule("colorado-quality-level").measure
        'percent within limits'
    """
    found = _shipped().get(name)
    if not isinstance(found, PaySchedule):
        known = ", ".join(n for n, one in _shipped().items() if isinstance(one, PaySchedule))
        raise NotFound(f"There is no pay schedule “{name}”; there is: {known}.")
    return found


def shipped(name: str) -> PaySchedule | Composite:
    """A schedule that ships, or a composite: whichever is called so.

    Args:
        name: As `pay_schedules` lists it.

    Raises:
        NotFound: There is none of this name.

    Source: each names its own.

    Example:
        >>> shipped("corps-lot").standing
        'read'
    """
    found = _shipped().get(name)
    if found is None:
        raise NotFound(f"There is no pay schedule “{name}”; there is: {', '.join(_shipped())}.")
    return found


def pay_composite(name: str) -> Composite:
    """One composite that ships.

    Args:
        name: As `pay_schedules` lists it.

    Returns:
        How it is made.

    Raises:
        NotFound: There is no such composite.

    Source: each composite names its own.

    Example:
        >>> pay_composite("corps-lot").how
        'lowest'
    """
    found = _shipped().get(name)
    if not isinstance(found, Composite):
        known = ", ".join(n for n, one in _shipped().items() if isinstance(one, Composite))
        raise NotFound(f"There is no composite “{name}”; there is: {known}.")
    return found


def pay_composites() -> tuple[str, ...]:
    """The names of the composites that ship.

    Source: definition.

    Example:
        >>> pay_composites()
        ('corps-lot', 'corps-mat-and-joint', 'florida-composite')
    """
    return tuple(name for name, one in _shipped().items() if isinstance(one, Composite))


@lru_cache(maxsize=1)
def _shipped() -> Mapping[str, PaySchedule | Composite]:
    folder = resources.files("matbook.engine") / "tables" / "pay"
    files = {file.name: file for file in folder.iterdir() if file.name.endswith(".toml")}
    texts = {name: files[name].read_text(encoding="utf-8") for name in sorted(files)}
    names = {name: name.removesuffix(".toml") for name in texts}
    return {names[name]: read_schedule(text, names[name]) for name, text in texts.items()}


def _schedule(raw: Raw, name: str) -> PaySchedule:
    plain = KEYS["schedule"] - {"groups", "tries", "blend"}
    return PaySchedule(
        name=name,
        groups=tuple(_group(group, raw) for group in raw["groups"]),
        tries=tuple(Try(**one) for one in raw.get("tries", [{}])),
        blend=tuple(raw["blend"]) if "blend" in raw else None,
        **{key: value for key, value in raw.items() if key in plain},
    )


def _group(raw: Raw, schedule: Raw) -> Group:
    return Group(
        least=raw["from"],
        most=raw.get("to", MOST_RESULTS),
        curve=_curve(raw, schedule["measure"]),
        cap=raw.get("cap"),
        standing=raw.get("standing", schedule["standing"]),
    )


def _curve(raw: Raw, measure: str) -> Curve:
    if "polynomial" in raw:
        return Polynomial(tuple(map(float, raw["polynomial"])))
    if "least" in raw:
        return Least(tuple((float(factor), float(least)) for factor, least in raw["least"]))
    return Bands(tuple(_band(band, measure) for band in raw["bands"]))


def _band(raw: Raw, measure: str) -> Band:
    factor = raw.get("factor", 0.0)
    both = tuple(map(float, factor)) if isinstance(factor, list) else (float(factor),) * 2
    return Band(*ends(raw, measure), (both[0], both[-1]), raw.get("rejected", False))


def _composite(raw: Raw, name: str) -> Composite:
    about = {key: raw[key] for key in ABOUT}
    weights = {part: float(weight) for part, weight in raw["weights"].items()}
    return Composite(name=name, how=raw["composite"], weights=weights, cap=raw.get("cap"), **about)
