"""One measured figure beside its reference, both from the same run on the same machine."""

from typing import NamedTuple


class Row(NamedTuple):
    """A figure as it is printed; the ratio is what carries over to other machines."""

    name: str
    """What was measured, with its unit: "durable append, entries/s"."""
    ours: float
    reference: float
    ratio: float
    """Ours over the reference, in whatever sense the note's aim has it."""
    note: str
    """The aim, and what the reference is: "aim 0.5; one raw INSERT with the same durability"."""
