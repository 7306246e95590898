"""Every sentence a person reads: a code and its arguments become words, one file per language.

The app reads the same files, so the rules are few: `{name}` is replaced by the argument, and
`{name|one|many}` by the first word when the argument is 1 and by the second otherwise.
"""

import json
import re
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from matbook.errors import NotFound

_HOLE = re.compile(r"\{(\w+)(?:\|([^|{}]*)\|([^|{}]*))?\}")


def say(code: str, language: str = "en", /, **arguments: object) -> str:
    """The sentence for a code.

    Raises:
        NotFound: There is no such sentence, or an argument it needs was not given.

    Example:
        >>> say("count.loads", n=1), say("count.loads", n=12)
        ('1 load', '12 loads')
    """
    try:
        template = sentences(language)[code]
    except KeyError:
        raise NotFound(f"There is no sentence “{code}” in the language “{language}”.") from None

    def fill(hole: re.Match[str]) -> str:
        name, one, many = hole.groups()
        if name not in arguments:
            raise NotFound(f"The sentence “{code}” needs “{name}”, which was not given.")
        value = str(arguments[name])
        return value if one is None else one if value == "1" else many

    return _HOLE.sub(fill, template)


def has(code: str, language: str = "en") -> bool:
    """Whether there is a sentence for this code."""
    return code in sentences(language)


@lru_cache(maxsize=8)
def sentences(language: str) -> Mapping[str, str]:
    """Every sentence of a language, by code; raises NotFound for a language we don't have."""
    file = resources.files("matbook.words") / f"{language}.json"
    if not re.fullmatch(r"[a-z]{2}", language) or not file.is_file():
        raise NotFound(f"There is no language “{language}” here.")
    found: dict[str, str] = json.loads(file.read_text(encoding="utf-8"))
    return found
