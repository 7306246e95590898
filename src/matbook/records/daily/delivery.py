"""Loads in the record: the account of all mix, the tickets, every load, what the plant says."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from math import fsum
from typing import Any

from matbook.records.daily.blocks import (
    Block,
    cell,
    column,
    facts,
    item,
    items,
    section,
    table,
)
from matbook.records.daily.sheet import Sheet
from matbook.shift.charts.frame import Chart
from matbook.shift.charts.temperature_by_load import temperature_by_load
from matbook.shift.charts.tonnes_in_time import tonnes_in_time
from matbook.shift.display import minutes, written
from matbook.shift.loads import Load
from matbook.shift.parts import Account, Part
from matbook.shift.places import road_of


def delivery(sheet: Sheet, draw: Callable[[Chart | None], Block | None]) -> list[Any]:
    """The sections about loads.

    Args:
        sheet: The record in the making.
        draw: Keeps a chart's drawing and gives the block that shows it.
    """
    return [
        section(
            sheet.say("record.loads"),
            [
                _account(sheet),
                draw(tonnes_in_time(sheet.view, sheet.language)),
                draw(temperature_by_load(sheet.view, sheet.language)),
                _tickets(sheet),
                _differences(sheet),
            ],
        ),
        section(sheet.say("record.every-load"), [_every_load(sheet)]),
    ]


def _account(sheet: Sheet) -> Block:
    """Where all the mix went, by plant and mix: what was taken is the sum of where it went."""
    groups: dict[tuple[str, str], list[Account]] = defaultdict(list)
    for account in sheet.view.accounts:
        groups[account.load.plant, account.load.mix].append(account)
    unit = sheet.display.unit("mass")
    heads = ("taken", "in-lanes", "outside", "wasted", "returned", "not-placed", "turned-away")
    return table(
        [
            column(sheet.say("head.plant-mix"), 2.2),
            column(sheet.say("head.loads"), 0.8, "right"),
            *(column(sheet.say(f"head.{name}", unit=unit), 1, "right") for name in heads),
        ],
        [_account_row(sheet, plant, mix, found) for (plant, mix), found in sorted(groups.items())],
        sheet.say("record.account.caption"),
        sheet.say("record.loads.empty"),
    )


def _account_row(sheet: Sheet, plant: str, mix: str, found: Sequence[Account]) -> list[Any]:
    taken = [account for account in found if account.load.counts]
    turned = [a.load.net_kg or 0.0 for a in found if a.load.decision == "turned away"]
    masses = [
        fsum(account.load.net_kg or 0.0 for account in taken),
        *(fsum(a.mass_to(use) for a in taken) for use in ("mainline", "area", "waste", "returned")),
        fsum(account.left_kg for account in taken),
        fsum(turned),
    ]
    names = sheet.plan.plants[plant].name if plant in sheet.plan.plants else plant
    mixes = sheet.plan.mixes[mix].name if mix in sheet.plan.mixes else mix
    return [
        cell(names, small=mixes),
        str(len(taken)),
        *(sheet.display.number("load", mass) for mass in masses),
    ]


def _tickets(sheet: Sheet) -> Block:
    """First and last number, counts, and what the plant's own count says."""
    rows: list[tuple[str, str]] = []
    for found in sheet.view.numberings:
        plant = sheet.plan.plants.get(found.plant)
        name = plant.name if plant else found.plant
        own = [load for load in sheet.view.loads if load.plant == found.plant and load.number]
        style = sheet.say(f"numbers.{plant.numbers if plant else 'none'}")
        missing = ", ".join(
            str(a) if a == b else f"{a}–{b}" for a, b, _ in found.missing
        ) or sheet.say("none")
        repeated = ", ".join(group[0].number for group in found.repeated) or sheet.say("none")
        rows.append(
            (
                name,
                sheet.say(
                    "record.tickets.line",
                    first=own[0].number,
                    last=own[-1].number,
                    count=len(own),
                    missing=missing,
                    repeated=repeated,
                    style=style,
                ),
            )
        )
    for fact in sheet.view.facts.of("tie-out"):
        words = sheet.say(
            "record.tie.line",
            count=fact.body["count"],
            mass=written(fact.text("mass")),
            note=fact.text("note"),
        )
        rows.append((f"{sheet.say('kind.tie-out')} {sheet.time(fact.at)}", words))
    return facts(rows)


def _differences(sheet: Sheet) -> Block | None:
    """What the plant's file and the road say differently of one load."""
    found = [
        item(
            "watch",
            sheet.say(
                "record.differs",
                load=load.label,
                field=sheet.say(f"field.{field}"),
                ours=written(ours) if field == "net" else ours,
                theirs=written(theirs) if field == "net" else theirs,
            ),
        )
        for load in sheet.view.loads
        for field, ours, theirs in load.differences()
    ]
    return items(found) if found else None


def _every_load(sheet: Sheet) -> Block:
    return table(
        [
            column(sheet.say("head.ticket"), None),
            column(sheet.say("head.time"), None),
            column(sheet.say("head.truck"), None),
            column(sheet.say("head.mix"), 1.1),
            column(sheet.say("head.weighed"), None, "right"),
            column(sheet.say("head.net"), None, "right"),
            column(sheet.say("head.loaded"), None),
            column(sheet.say("head.temperature"), 1, "right"),
            column(sheet.say("head.age"), None, "right"),
            column(sheet.say("head.went"), 4.2),
        ],
        [_load_row(sheet, account) for account in sheet.view.accounts],
        f"{sheet.course()}. {sheet.say('record.every-load.caption')}".removeprefix(". "),
        sheet.say("record.loads.empty"),
    )


def _load_row(sheet: Sheet, account: Account) -> list[Any]:
    load = account.load
    grades = {call.grade for call in sheet.view.calls if load.id in call.entries}
    state = "act" if "act" in grades else "watch" if "watch" in grades else ""
    temp = load.temp
    struck, loaded = load.decision != "taken", load.moment("loaded")
    return [
        cell(load.label, state=state, small=_form(sheet, load)),
        sheet.time(load.at),
        load.truck,
        load.mix,
        _weighed(load),
        cell(_net(sheet, load), struck=struck),
        sheet.time(loaded) if loaded is not None else "—",
        written(temp) if temp else "—",
        minutes(load.age) if load.age is not None else "—",
        _went(sheet, account),
    ]


def _net(sheet: Sheet, load: Load) -> str:
    typed = load.first("net")
    if typed:
        return written(typed)
    return sheet.display.show("load", load.net_kg) if load.net_kg is not None else "—"


def _weighed(load: Load) -> str:
    """Gross and tare as printed, where the ticket has them."""
    gross, tare = load.first("gross"), load.first("tare")
    return f"{gross.split(' ')[0]} − {tare.split(' ')[0]}" if gross and tare else ""


def _form(sheet: Sheet, load: Load) -> str:
    form = load.fact.text("form")
    words = [sheet.say(f"form.{form}")] if form and form != "printed" else []
    if not load.seen_on_road:
        words.append(sheet.say("record.plant-only"))
    return ", ".join(words)


def _went(sheet: Sheet, account: Account) -> Any:
    load = account.load
    if not load.counts:
        return cell(sheet.say(f"decision.{load.decision}"), small=_looked(load))
    parts = "; ".join(_part(sheet, part, alone=len(account.parts) == 1) for part in account.parts)
    if account.state in ("not placed", "over-placed"):
        left = sheet.display.show("load", abs(account.left_kg))
        parts = "; ".join(filter(None, (parts, sheet.say(f"record.{account.state}", mass=left))))
    notes = [part.fact.text("note") for part in account.parts]
    return cell(parts or "—", small="; ".join(filter(None, (_looked(load), *notes))))


def _looked(load: Load) -> str:
    """How the load looked, and why it was taken all the same."""
    signs = load.fact.body.get("signs", [])
    return "; ".join(filter(None, (*map(str, signs), load.first("reason"))))


def _part(sheet: Sheet, part: Part, *, alone: bool) -> str:
    fact = part.fact
    mass = "" if alone else f"{sheet.display.show('load', part.mass_kg)} "
    how = f" ({sheet.say('how.estimated')})" if part.how == "estimated" else ""
    if part.to == "mainline":
        return f"{mass}{sheet.where(fact)}{how}"
    area = sheet.plan.areas.get(fact.text("area") or fact.place("area"))
    name = area.name if area else sheet.say(f"to.{part.to}")
    road = road_of(sheet.plan, fact.entry.place)
    place = fact.place("station") if road is not None else ""
    return f"{mass}{name}{f', {place}' if place else ''}{how}"
