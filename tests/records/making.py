"""Invented plants, their ticket files, and what is needed to read them."""

from collections.abc import Mapping
from datetime import UTC, datetime

from matbook.book.kinds import faults, kind_named
from matbook.book.pen import ShiftName
from matbook.plan.model import Job, Mix, Plan, Plant, Truck
from matbook.records.sheets import read_sheet
from matbook.records.tickets import TicketFile, tickets

DAY = ShiftName.read("harrow/2026-05-12/a/day")
NIGHT = ShiftName.read("marsh/2026-10-31/b/night")
NOW = datetime(2026, 12, 1, tzinfo=UTC)
LOAD = kind_named("load")


def plan(
    units: str = "metric",
    unit: str = "t",
    numbers: str = "job",
    columns: Mapping[str, str] | None = None,
) -> Plan:
    """A plan with the plant "north"."""
    return Plan(
        job=Job("harrow", "Harrow Road", "Merrow County", units, "America/Halifax"),  # type: ignore[arg-type]
        roads={}, lanes={}, areas={}, lifts={},
        mixes={
            "ac11": Mix("ac11", "AC 11 surface", "MD-11-07"),
            "ac16": Mix("ac16", "AC 16 binder", "MD-16-02"),
            "ac16b": Mix("ac16b", "AC 16 binder", "MD-16-03"),
        },
        limits=(), checks=(),
        plants={"north": Plant("north", "North plant", numbers, unit, columns or {})},  # type: ignore[arg-type]
        trucks={"12": Truck("12", "Truck 12")},
        pavers={}, rollers={}, instruments={}, people={},
        station_error_m=0.5, acceptance={}, document={},
    )  # fmt: skip


def halifax(at: datetime, fold: int) -> str:
    """Summer time in May, all day."""
    return "-03:00"


def eastern(at: datetime, fold: int) -> str:
    """US Eastern time around 2026: daylight time from 8 March 02:00 to 1 November 02:00.

    Energy Policy Act of 2005, section 110: second Sunday in March, first Sunday in November;
    from memory.
    """
    begins, ends = datetime(2026, 3, 8, 2), datetime(2026, 11, 1, 1)
    if begins.replace(hour=2) <= at < begins.replace(hour=3):  # skipped
        return "-04:00" if fold else "-05:00"
    if ends <= at < ends.replace(hour=2):  # comes twice
        return "-05:00" if fold else "-04:00"
    return "-04:00" if begins < at < ends else "-05:00"


def take(
    data: str | bytes,
    shift: ShiftName = DAY,
    of: Plan | None = None,
    name: str = "tickets.csv",
) -> TicketFile:
    """Read a ticket file of the plant "north"; every draft passes the form of a load."""
    of = of or plan()
    known = tuple(of.plants["north"].columns.values())
    sheet = read_sheet(data.encode() if isinstance(data, str) else data, name, known)
    found = tickets(sheet, of, "north", shift, eastern if shift is NIGHT else halifax, NOW)
    assert len(found.drafts) + len(found.refused) == len(sheet.rows)
    for draft in found.drafts:
        assert faults(LOAD, draft.body) == []
    return found


def bodies(found: TicketFile) -> list[dict[str, str]]:
    """The bodies of all drafts, without what all of them say alike."""
    alike = {"plant": "north", "witness": "plant", "decision": "taken", "temp_how": "ticket"}
    return [
        {name: value for name, value in draft.body.items() if alike.get(name) != value}
        for draft in found.drafts
    ]


def reasons(found: TicketFile) -> list[tuple[int, str, str]]:
    """Line, field and reason of what was refused."""
    return [(row.line, row.field, row.reason) for row in found.refused]
