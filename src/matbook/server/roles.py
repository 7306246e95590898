"""What each role may ask of each route: a table, which docs/roles.md shows and a test goes through.

What an entry is to a role (may it write this kind, may it see this entry, which questions may it
ask) is decided by `matbook.desk.roles`; here it is only applied.
"""

from collections.abc import Mapping
from typing import Final

from matbook.book.entry import Entry
from matbook.book.kinds import kinds
from matbook.desk import roles
from matbook.desk.job import JobBook
from matbook.server.problems import Problem
from matbook.server.who import OWNER, Who

OWNER_SEES_AS: Final = "supervisor"
"""The role in which the core answers whoever is at the machine itself."""

ROLES: Final = ("inspector", "technician", "supervisor", "contractor")
_ALL: Final = frozenset(ROLES)
_OURS: Final = _ALL - {"contractor"}

ROUTES: Final[Mapping[str, frozenset[str]]] = {
    "GET /api/health": _ALL,
    "GET /api/me": _ALL,
    "GET /api/jobs": _ALL,
    "POST /api/jobs/{job}/entries": _ALL,
    "GET /api/jobs/{job}/entries": _ALL,
    "GET /api/jobs/{job}/changes": _ALL,
    "GET /api/jobs/{job}/sendings": _OURS,
    "HEAD /api/jobs/{job}/attachments/{sha256}": _ALL,
    "PUT /api/jobs/{job}/attachments/{sha256}": _ALL,
    "GET /api/jobs/{job}/attachments/{sha256}": _ALL,
    "GET /api/jobs/{job}/ask/{question}": _ALL,
    "POST /api/jobs/{job}/ask/{question}": _ALL,
    "POST /api/jobs/{job}/shifts/{date}/{crew}/{part}/seal": frozenset({"inspector", "supervisor"}),
    "GET /api/jobs/{job}/shifts/{date}/{crew}/{part}/record": _OURS,
    "GET /api/jobs/{job}/shifts/{date}/{crew}/{part}/bundle": _OURS,
    "GET /api/jobs/{job}/shifts/{date}/{crew}/{part}/lines": _OURS,
    "POST /api/pairing": frozenset({"supervisor"}),
    "POST /api/pair": _ALL,
    "GET /api/devices": frozenset({"supervisor"}),
    "DELETE /api/devices/{device}": frozenset({"supervisor"}),
}
"""Who may ask for what. Whoever is at the machine itself may ask for everything."""


def check_route(who: Who, route: str) -> None:
    """Raise unless this role may ask for that route at all."""
    if who.role != OWNER and who.role not in ROUTES[route]:
        raise Problem(403, "role", f"A {who.role} may not do this.")


def may_ask(role: str, question: str) -> bool:
    """Whether a role may put this question to a book."""
    return role == OWNER or question in roles.views_for(role)


def may_write(role: str, kind: str) -> bool:
    """Whether a role may write entries of a kind; one that isn't known here may be a newer one."""
    if kind not in kinds():
        return role != "contractor"
    return role == OWNER or roles.may_write(role, kind)


def may_see(role: str, entry: Entry, book: JobBook) -> bool:
    """Whether an entry may travel to a role with its text, or only as a hash."""
    return role == OWNER or roles.may_see(role, entry, book)
