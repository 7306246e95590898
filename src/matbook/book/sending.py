"""What became of a notice on its way out of the server: it lies beside the entry, never in it."""

from typing import Final, NamedTuple

STATES: Final = ("waiting", "sent", "refused", "given-up")
"""`sent`: whoever carries it on has taken it. `refused`: somebody said no, here or there, and
trying again would change nothing. `given-up`: tried, or kept, for as long as it made sense."""


class Sending(NamedTuple):
    """One notice on its way to one person."""

    entry: str
    """Id of the notice."""
    person: str
    """As the notice names whom it is for: an id of the plan, or a name as it was written."""
    how: str
    """What carries it: mail, sms or webhook."""
    state: str
    at: str
    """When that was found out: a moment."""
    why: str = ""
    """The reason, by the end of its code in `words`; empty while there is nothing to explain."""
    said: str = ""
    """A number that the other side answered with."""
    tries: int = 0
