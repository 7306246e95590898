"""Every error Matbook raises on purpose, drawn as a tree.

    MatbookError                  anything we can explain to a person
    ├── Refused                   a value from a person or a machine that can't be taken
    │   ├── OutOfRange            a number outside the range a formula or a form is good for
    │   ├── UnknownUnit           a unit we don't know, or one that measures something else
    │   └── UnknownStation        a label that no point on this road carries
    │       └── AmbiguousStation  a label that more than one point carries; names its zones
    ├── EntryRefused              an entry whose envelope is not intact (text, hash, chain, size)
    ├── PlanRefused               a plan with mistakes; carries all of them, each with its place
    ├── FileRefused               a file that can't be read as what it should be
    ├── NotFound                  nothing here by that name
    ├── StoreBusy                 another process holds the book; try again
    └── NotProven                 a seal, signature or chain that does not hold

The text of an error is a sentence for the person who can mend it: which field, what was given,
what is allowed. `code` is stable and is what programs should look at.
"""

from collections.abc import Sequence


class MatbookError(Exception):
    """Anything that can be explained to a person; `str()` is the explanation."""

    code = "error"


class Refused(MatbookError, ValueError):
    """A value that can't be taken: says which field, what was given and what is allowed."""

    code = "refused"

    def __init__(self, field: str, given: object, allowed: str) -> None:
        self.field = field
        self.given = given
        self.allowed = allowed
        super().__init__(f"{field} is {_shown(given)}; {allowed}.")


class OutOfRange(Refused):
    """A number outside the range that a formula or a form is good for."""

    code = "out-of-range"


class UnknownUnit(Refused):
    """A unit that isn't known here, or that measures something else."""

    code = "unknown-unit"


class UnknownStation(Refused):
    """A station label that no point on this road carries."""

    code = "unknown-station"


class AmbiguousStation(UnknownStation):
    """A station label carried by more than one point; `zones` are the zones to choose from."""

    code = "ambiguous-station"

    def __init__(self, field: str, given: object, allowed: str, zones: Sequence[int]) -> None:
        super().__init__(field, given, allowed)
        self.zones = tuple(zones)


class EntryRefused(MatbookError):
    """An entry whose envelope isn't intact: its text, hash, chain or size."""

    code = "entry-refused"


class PlanRefused(MatbookError):
    """A plan with mistakes; `mistakes` holds every one as (place, sentence)."""

    code = "plan-refused"

    def __init__(self, mistakes: Sequence[tuple[str, str]]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(f"{place}: {sentence}" for place, sentence in mistakes))


class FileRefused(MatbookError):
    """A file that can't be read as what it should be."""

    code = "file-refused"


class NotFound(MatbookError):
    """Nothing here by that name."""

    code = "not-found"


class StoreBusy(MatbookError):
    """Another process holds the book just now."""

    code = "store-busy"


class NotProven(MatbookError):
    """A seal, a signature or a chain that does not hold."""

    code = "not-proven"


def _shown(given: object) -> str:
    text = f"“{given}”" if isinstance(given, str) else str(given)
    return text if len(text) <= 80 else text[:77] + "…"
