"""Every sentence a person reads: a code and its arguments become words, one file per language.

The app reads the same files, so the rules are few: `{name}` is replaced by the argument, and
`{name|one|many}` by the first word when the argument is 1 and by the second otherwise. A sentence
that a language lacks is said in English.
"""

import json
import re
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Any

from matbook.errors import NotFound

ENGLISH = "en"
_HOLE = re.compile(r"\{(\w+)(?:\|([^|{}]*)\|([^|{}]*))?\}")


def say(code: str, language: str = ENGLISH, /, **arguments: object) -> str:
    """The sentence for a code, in English where the language has none of its own.

    Raises:
        NotFound: There is no such sentence, or an argument it needs was not given.

    Example:
        >>> say("count.loads", n=1), say("count.loads", n=12)
        ('1 load', '12 loads')
    """
    first, *rest = _parts(code, language)
    said = [first]
    for name, one, many, text in rest:
        if name not in arguments:
            raise NotFound(f"The sentence “{code}” needs “{name}”, which was not given.")
        value = str(arguments[name])
        said += (value if one is None else one if value == "1" else many, text)
    return "".join(said)


@lru_cache(maxsize=4096)
def _parts(code: str, language: str) -> tuple[Any, ...]:
    """A sentence up to its first hole; then each hole as name, one and many, and what follows."""
    template = sentences(language).get(code) or sentences(ENGLISH).get(code)
    if template is None:
        raise NotFound(f"There is no sentence “{code}” in the language “{language}”.")
    first, *rest = _HOLE.split(template)
    return (first, *zip(*[iter(rest)] * 4, strict=True))


def has(code: str, language: str = ENGLISH) -> bool:
    """Whether there is a sentence for this code, in this language or in English."""
    return code in sentences(language) or code in sentences(ENGLISH)


def holes(sentence: str) -> set[str]:
    """The names of the arguments that a sentence needs.

    Example:
        >>> sorted(holes("{n} {n|load|loads} of {mix}"))
        ['mix', 'n']
    """
    return {hole[1] for hole in _HOLE.finditer(sentence)}


@lru_cache(maxsize=8)
def sentences(language: str) -> Mapping[str, str]:
    """Every sentence of a language, by code; raises NotFound for a language we don't have."""
    if language not in languages():
        raise NotFound(f"There is no language “{language}” here.")
    file = resources.files("matbook.words") / f"{language}.json"
    found: dict[str, str] = json.loads(file.read_text(encoding="utf-8"))
    return found


@lru_cache(maxsize=1)
def languages() -> tuple[str, ...]:
    """The languages that there are sentences in, by their two letters."""
    names = (file.name for file in resources.files("matbook.words").iterdir())
    return tuple(sorted(name[:2] for name in names if re.fullmatch(r"[a-z]{2}\.json", name)))
