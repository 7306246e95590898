"""The page about roles, from the tables that are in force."""

from collections.abc import Iterator

from matbook.book.kinds import kinds
from matbook.desk import roles as core
from matbook.server.roles import ROLES, ROUTES, may_write

Row = tuple[str, ...]


def roles_page() -> Iterator[str]:
    """Who may ask what of the server, write what, see what, and ask the book what."""
    yield "# Roles"
    yield (
        "A phone is paired for one person, in one role, on one job. The role decides what it may "
        "ask for, what is taken from it, and what it is given; each cell of these tables is a "
        "test. Whoever sits at the machine that serves on loopback has no account and may do "
        "everything."
    )
    yield "## What may be asked of the server"
    yield _cells("route", [(f"`{route}`", allowed) for route, allowed in ROUTES.items()])
    yield (
        "`/api/health`, `/api/pair` and the app itself are open to phones that are not paired "
        "yet; `/metrics` answers this machine alone."
    )
    yield "## What is taken from whom"
    yield (
        "An entry that its role may not write is put into quarantine with the reason, and its "
        "receipt says so; nothing is lost, and the rest of its batch is kept. An entry written in "
        "another person's name, or handed on for another device, is kept, and flagged for people "
        "to see. Kinds that this version doesn't know are taken from all but the contractor."
    )
    yield _cells(
        "kind",
        [(f"`{kind}`", {role for role in ROLES if may_write(role, kind)}) for kind in kinds()],
    )
    yield "## What is sent to whom"
    yield (
        "An entry that a role may not see travels as its hash, so that chains can still be "
        "checked. The plan may release further kinds. Two things stand above the table. A place "
        "that was drawn is the supervisor's until it is told, because it is near, and then the "
        "owner's people's; the contractor sees it once its lot is revealed. And the owner's "
        "acceptance and verification results are kept from the contractor until the contractor's "
        "own results for that lot are in, with the custody of their cores and samples."
    )
    everything = core.EVERYTHING
    seen = [
        (f"`{kind}`", {r for r in ROLES if core.SEES[r] & {kind, everything}}) for kind in kinds()
    ]
    yield _cells("kind", seen)
    yield (
        "What is released later reaches a device that has passed it by only when it reads the book "
        "from the beginning again; the views show it at once."
    )
    yield "## What the book answers to whom"
    asked = [
        (f"`{question}`", {role for role in ROLES if question in core.views_for(role)})
        for question in sorted(core.views_for("supervisor"))
    ]
    yield _cells("question", asked)


def _cells(head: str, rows: list[tuple[str, set[str]]] | list[tuple[str, frozenset[str]]]) -> str:
    """A table with a column for each role."""
    lines = [(head, *ROLES), ("---",) * (1 + len(ROLES))]
    lines += [
        (name, *("yes" if role in allowed else "no" for role in ROLES)) for name, allowed in rows
    ]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)
