"""matbook profile: the roughness of a profile file, and its pieces kept in the book."""

from decimal import Decimal
from pathlib import Path
from typing import Any, Final

import click

from matbook.cli.shared import (
    as_json,
    at_the_job,
    emit,
    installation,
    job_named,
    job_option,
    moment_of,
    person_named,
    say_line,
    say_wrapped,
    shift_named,
    shift_option,
    table,
)
from matbook.engine.roughness import iri, iri_sections, roughest
from matbook.engine.units import convert, parse
from matbook.errors import FileRefused, Refused
from matbook.records.profile import Piece, ProfileFile, read_profile
from matbook.shift.places import road_of

UNITS: Final = ("mm", "m", "in", "ft")


@click.command(
    epilog="""\b
Examples:
  matbook profile right.csv --unit mm
  matbook profile right.csv --unit mm --section "100 m" --json
  matbook profile right.csv --unit mm --keep lane=E from=6+825 path=right"""
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--unit", type=click.Choice(UNITS), default="mm", help="Unit of the heights.")
@click.option("--distance", type=click.Choice(UNITS), default="m", help="Unit of the distances.")
@click.option("--column", type=click.IntRange(2, 50), default=2, help="Which column has heights.")
@click.option("--section", default="100 m", help="Length of a section, such as 100 m or 0.1 mi.")
@click.option("--keep", is_flag=True, help="Keep each piece in the book, from the station given.")
@click.argument("fields", nargs=-1, metavar="[FIELD=VALUE]...")
@job_option
@shift_option
@click.option("--by", default="", help="Who measured it, by their id in the plan.")
@click.option("--at", help="When: 15:40, or a whole date and time; now if left out.")
@as_json
@click.pass_context
def profile(ctx: click.Context, /, **given: Any) -> None:
    """The roughness index (IRI) of FILE, section by section, and the roughest stretches.

    FILE has a distance in its first column and heights in another, with commas, semicolons or
    tabs between. Where it has a gap it is taken apart, and the gap is said. With --keep the
    pieces go into the book: lane, lift, from and path are their FIELDS.
    """
    found = _read(given["file"], given["column"], given["distance"])
    section = parse(given["section"])
    said = [_said(one, given["unit"], section.si()) for one in found.pieces]
    kept = _keep(ctx, found, given) if given["keep"] else []
    if given["as_json"]:
        emit({"pieces": said, "gaps": list(found.gaps), "kept": kept})
    else:
        _print(found, said, kept)
    ctx.exit(1 if found.gaps or any(one["why"] for one in said) else 0)


def _read(file: Path, column: int, distance: str) -> ProfileFile:
    try:
        data = file.read_bytes()
    except OSError as error:
        raise FileRefused(f"{file} can't be read: {error.strerror}.") from None
    return read_profile(data, column, convert(1.0, distance, "m"))


def _said(one: Piece, unit: str, section_m: float) -> dict[str, Any]:
    """One piece: its index, its sections, its roughest stretches; or why it has none."""
    row: dict[str, Any] = {"from_m": round(one.from_m, 3), "to_m": round(one.to_m, 3)}
    heights = [convert(float(height), unit, "m") for height in one.heights]
    try:
        sections = iri_sections(heights, one.spacing_m, section_m)
        worst = roughest(heights, one.spacing_m, most=3)
        whole = iri(heights, one.spacing_m)
    except Refused as refusal:
        return {**row, "why": str(refusal), "iri_m_km": None, "sections": [], "roughest": []}
    return {
        **row,
        "why": "",
        "iri_m_km": round(whole, 3),
        "sections": [_part(one, part) for part in sections],
        "roughest": [_part(one, part) for part in worst],
    }


def _part(one: Piece, part: Any) -> dict[str, float]:
    return {
        "from_m": round(one.from_m + part.from_m, 2),
        "to_m": round(one.from_m + part.to_m, 2),
        "iri_m_km": round(part.iri_m_km, 3),
    }


def _print(found: ProfileFile, said: list[dict[str, Any]], kept: list[str]) -> None:
    for one in said:
        head = f"{one['from_m']:g} to {one['to_m']:g} m"
        if one["why"]:
            say_wrapped(f"{head}: no index. {one['why']}", 4)
            continue
        say_line(f"{head}: IRI {one['iri_m_km']:.2f} m/km")
        columns = ["from m", "to m", "IRI m/km", ""]
        worst = {(part["from_m"], part["to_m"]) for part in one["roughest"]}
        parts = [*one["sections"], *one["roughest"]]
        rows = [
            [
                f"{part['from_m']:.1f}",
                f"{part['to_m']:.1f}",
                f"{part['iri_m_km']:.2f}",
                "roughest" if (part["from_m"], part["to_m"]) in worst else "",
            ]
            for part in parts
        ]
        table(columns, rows, {*columns[:3]})
        say_line()
    for gap in found.gaps:
        say_wrapped(gap, 2)
    if kept:
        say_line(f"Kept: {len(kept)} of kind profile")


def _keep(ctx: click.Context, found: ProfileFile, given: dict[str, Any]) -> list[str]:
    """Every piece as an entry, at its station from where the file begins; all or none."""
    here = installation(ctx)
    name = job_named(here, given["job"])
    book = here.book(name)
    here = at_the_job(here, book)
    fields = dict(one.partition("=")[::2] for one in given["fields"])
    place = {key: fields.pop(key) for key in ("lane", "lift", "road", "from") if key in fields}
    if unknown := {*fields} - {"path", "note"}:
        raise Refused("fields", ", ".join(sorted(unknown)), "lane, lift, road, from, path and note")
    plan = book.plans.latest
    road = road_of(plan, place)
    if road is None or "from" not in place:
        raise Refused("from", place.get("from", ""), "the lane, and the station it begins at")
    start_m = road.stationing.parse(place["from"])
    lane = plan.lanes.get(place.get("lane", ""))
    way = -1.0 if lane is not None and lane.to_m < lane.from_m else 1.0
    shift, at = shift_named(book, given["shift"]), moment_of(given["at"], here.clock(), "--at")
    kept = []
    for one in found.pieces:
        ends = {
            "from": road.stationing.format(start_m + way * one.from_m),
            "to": road.stationing.format(start_m + way * one.to_m),
        }
        body = {
            **fields,
            "spacing": f"{Decimal(str(round(1000.0 * one.spacing_m, 3))).normalize():f} mm",
            "unit": given["unit"],
            "heights": " ".join(one.heights),
        }
        by = person_named(book, given["by"])
        entry = here.write(
            name, "profile", body, by=by, at=at, shift=shift, place={**place, **ends}
        )
        kept.append(entry.id)
    return kept
