"""matbook import: plans, ticket files, entries as JSON lines, and bundles."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from difflib import get_close_matches
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

import click

from matbook.book.pen import ShiftName
from matbook.bootstrap import Installation, moment_text
from matbook.cli.shared import (
    as_bytes,
    as_json,
    as_text,
    decoded,
    emit,
    err,
    grid,
    installation,
    job_named,
    job_option,
    person_named,
    progress,
    say_line,
    shift_named,
    shift_option,
    table,
    write_file,
    zone_of,
)
from matbook.desk.job import JobBook
from matbook.errors import Refused
from matbook.plan.own_schedules import with_schedules
from matbook.plan.reader import read_plan
from matbook.records.bundle import unbundle
from matbook.records.drafts import TicketFile
from matbook.records.dry_run import preview, quarantine_csv
from matbook.records.lines import from_lines
from matbook.records.placing import OffsetAt
from matbook.records.sheets import read_sheet
from matbook.records.tickets import tickets


@dataclass(frozen=True)
class Taken:
    """What became of one file."""

    file: str
    what: str
    kept: int
    had: int
    refused: int
    where: str = ""
    tried: bool = False

    def data(self) -> dict[str, Any]:
        return asdict(self)

    def __str__(self) -> str:
        verb = "would be taken" if self.tried else "taken"
        place = f" into {self.where}" if self.where else ""
        return (
            f"{self.file}: {self.what}: {self.kept} {verb}{place}, "
            f"{self.had} already here, {self.refused} refused."
        )


@click.command("import")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@job_option
@shift_option
@click.option("--plant", help="Which plant a ticket file comes from, when the plan has several.")
@click.option("--by", default="", help="Who imports, by their id in the plan.")
@click.option("--dry-run", is_flag=True, help="Show what would be taken, and take nothing.")
@as_json
@click.pass_context
def import_files(
    ctx: click.Context,
    files: Sequence[Path],
    job: str | None,
    shift: str | None,
    plant: str | None,
    by: str,
    dry_run: bool,
    as_json: bool,
) -> None:
    """Take FILES into the book: what each is, is seen from its name and contents.

    \b
    .toml          a plan: the job's first entry, or a whole new plan from now on
    .csv .xlsx     the plant's tickets, with whatever headings they have
    .jsonl         entries, one a line, exactly as written
    .zip           a bundle of entries

    A file is taken whole or not at all; rows and entries that can't be taken go to quarantine with
    the reason, and the rest is taken. The same file twice adds nothing. Ends with 1 when something
    was refused.
    """
    here = installation(ctx, new=True)
    results = []
    for file in files:
        raw = as_bytes(file)
        if file.suffix == ".toml":
            results.append(_plan(here, file, raw, by, dry_run))
        elif file.suffix in (".jsonl", ".zip"):
            results.append(_entries(here, file, raw, dry_run))
        else:
            results.append(_tickets(here, file, raw, (job, shift, plant, by), dry_run))
    if as_json:
        emit([result.data() for result in results])
    else:
        for result in results:
            say_line(str(result))
    ctx.exit(1 if any(result.refused for result in results) else 0)


def _beside(file: Path, name: str) -> str | None:
    """The schedule that lies beside a plan under this name."""
    own = file.with_name(f"{name}.toml")
    return as_text(own) if own.is_file() else None


def _plan(here: Installation, file: Path, raw: bytes, by: str, dry_run: bool) -> Taken:
    text = decoded(file, raw)
    text = with_schedules(text, lambda name: _beside(file, name))
    plan = read_plan(text)
    if zone_of(plan.job.time_zone) is None:
        near = get_close_matches(plan.job.time_zone, available_timezones(), n=1)
        hint = f"did you mean {near[0]}" if near else "such as America/Halifax"
        raise Refused("job, time_zone", plan.job.time_zone, f"it must be a time zone; {hint}")
    before = JobBook(()) if plan.job.id not in here.store.jobs() else here.book(plan.job.id)
    struck = {entry.strikes for entry in before.entries}
    plans = [e for e in before.entries if e.kind == "plan" and e.id not in struck]
    same = [e for e in plans if e.body.get("toml") == text]
    if same or dry_run:
        return Taken(str(file), "plan", int(not same), len(same), 0, plan.job.id, dry_run)
    if not by:
        inspectors = [p.id for p in plan.people.values() if p.role in ("inspector", "supervisor")]
        if not inspectors:
            raise Refused("--by", "", "say who imports the plan; it names no inspector")
        by = inspectors[0]
    here.write(plan.job.id, "plan", {"toml": text}, by)
    return Taken(str(file), "plan", 1, 0, 0, plan.job.id)


def _entries(here: Installation, file: Path, raw: bytes, dry_run: bool) -> Taken:
    """Entries from elsewhere: stored exactly as written, those not intact to quarantine."""
    if file.suffix == ".zip":
        files = unbundle(raw, str(file))
        raw = files["entries.jsonl"]
        kept = [b for name, b in files.items() if name.startswith("attachments/")]
    else:
        kept = []
    pairs, refused = from_lines(raw, str(file))
    if dry_run:
        return Taken(str(file), "entries", len(pairs), 0, len(refused), tried=True)
    with progress() as bar:
        task = bar.add_task(f"Entries of {file.name}", total=len(pairs))
        tally = here.store.append_all(
            pairs, moment_text(here.clock()), lambda done: bar.update(task, completed=done)
        )
    for original in kept:
        here.store.attach(original)
    bad = [(f"line {line}", reason) for line, reason, _ in refused]
    bad += [(receipt.hash[:12], receipt.reason) for receipt in tally.refused]
    for where, reason in bad:
        err.print(f"{file}, {where}: {reason}", markup=False)
    return Taken(str(file), "entries", tally.kept, tally.had, len(bad))


def _tickets(
    here: Installation,
    file: Path,
    raw: bytes,
    said: tuple[str | None, str | None, str | None, str],
    dry_run: bool,
) -> Taken:
    job_said, shift_said, plant_said, by = said
    job = job_named(here, job_said)
    book = here.book(job)
    shift = shift_named(book, shift_said)
    plan = book.facts(shift).plans.latest
    plant = plant_said or _only_plant(list(plan.plants))
    known = plan.plants[plant].columns.values() if plant in plan.plants else ()
    found = tickets(
        read_sheet(raw, str(file), tuple(known)),
        plan,
        plant,
        ShiftName.read(shift),
        offset_at(plan.job.time_zone, here.clock()),
        here.clock(),
    )
    _show_refused(file, found, dry_run)
    if dry_run:
        _show(found)
        return Taken(str(file), "tickets", len(found.drafts), 0, len(found.refused), shift, True)
    by = person_named(book, by)
    kept, had = here.write_all(job, "load", found.drafts, by, shift)
    return Taken(str(file), "tickets", kept, had, len(found.refused), shift)


def _only_plant(plants: Sequence[str]) -> str:
    if len(plants) == 1:
        return plants[0]
    raise Refused("--plant", "", f"say which plant the file comes from: {', '.join(plants)}")


def offset_at(zone: str, now: datetime) -> OffsetAt:
    """The offset of the job's clock by local time; of this place's where the zone isn't known."""
    info = zone_of(zone)
    if info is None:
        return lambda at, fold: f"{now:%z}"[:3] + ":" + f"{now:%z}"[3:]

    def of(at: datetime, fold: int) -> str:
        return at.replace(tzinfo=info, fold=fold).isoformat()[-6:]

    return of


def _show(found: TicketFile) -> None:
    """What a dry run would take: how the headings were read, and the first and last rows."""
    seen = preview(found)
    grid([*seen["mapping"].items(), *seen["counts"].items(), *seen["sums"].items()])
    if seen["not_read"]:
        say_line(f"Columns not used: {', '.join(seen['not_read'])}")
    if not {"loaded", "time"} & seen["mapping"].keys():
        say_line("No column says when a load was loaded: ages will not be known.")
    if seen["rows"]:
        rows = [[str(value) for value in row.values()] for row in seen["rows"]]
        table(list(seen["rows"][0]), rows)


def _show_refused(file: Path, found: TicketFile, dry_run: bool) -> None:
    for row in found.refused:
        err.print(f"{file}, line {row.line}, {row.field}: {row.reason}", markup=False)
    if found.refused and not dry_run:
        beside = file.with_name(f"{file.stem}.quarantine.csv")
        write_file(beside, quarantine_csv(found.refused))
        err.print(f"The rows that could not be taken are in {beside}", markup=False)
