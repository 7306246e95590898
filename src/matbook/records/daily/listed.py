"""Everything else in the record: kind by kind, each entry in one line, nothing left out."""

from collections.abc import Iterator, Sequence
from itertools import compress
from typing import Any, Final

from matbook.records.daily.blocks import Block, cell, column, paragraph, section, table
from matbook.records.daily.by_line import checklists, joint_steps
from matbook.records.daily.sheet import Sheet
from matbook.shift.display import fixed, written
from matbook.shift.facts import Fact
from matbook.shift.speak import limit_words
from matbook.shift.tonight import Item, detail

GROUPS: Final[Sequence[tuple[str, Sequence[str]]]] = (
    ("record.rolling", ("roller",)),
    (
        "record.density",
        ("gauge-check", "density", "core", "sample", "custody", "test-result", "draw"),
    ),
    ("record.joints", ("joint-longitudinal",)),
    (
        "record.tonight",
        ("ramp", "markings", "traffic-control", "opened-to-traffic"),
    ),
    ("record.defects", ("defect", "surface")),
    ("record.weather", ("weather",)),
    ("record.people", ("crew", "equipment", "visitor", "handover")),
    ("record.events", ("delay", "extra-work", "quantity", "plant-change", "incident")),
    ("record.checks", ()),
    ("record.notes", ("shift-open", "note", "photo", "shift-close")),
)
"""Sections, and the kinds that each lists; a kind with its own section isn't here."""


BY_LINE: Final = {"record.joints": joint_steps, "record.checks": checklists}
"""Sections with a table of their own for what is looked at step by step, or line by line."""


def listed(sheet: Sheet) -> dict[str, dict[str, Any]]:
    """The listed sections that hold anything, by the code of their title."""
    found = {}
    for title, kinds in GROUPS:
        blocks: list[Block | None] = []
        if title == "record.tonight":
            blocks.append(paragraph(sheet.say("record.tonight.line")))
            blocks.append(_tonight(sheet))
        facts = [fact for kind in kinds for fact in sheet.view.facts.of(kind)]
        if title == "record.tonight":
            edges = sheet.view.facts.of("joint-longitudinal")
            facts += [fact for fact in edges if fact.text("edge") == "open"]
        if title == "record.tonight" and not facts:
            blocks.append(paragraph(sheet.say("record.tonight.nothing")))
        elif facts:
            blocks.append(_table(sheet, facts))
        if title == "record.density" and facts:
            blocks.insert(0, paragraph(_targets(sheet)))
        if title in BY_LINE:
            blocks.append(BY_LINE[title](sheet))
        whole = section(sheet.say(title), blocks)
        if whole is not None:
            found[title] = whole
    said = [*_silent(sheet), *_unjudged(sheet)]
    if said:
        whole = section("", [paragraph(sentence) for sentence in said])
        assert whole is not None
        found["silent"] = whole
    return found


ASKED: Final = ("incident", "delay", "extra-work", "visitor", "photo", "quantity", "instruction")
"""Kinds that a reader looks for: where none was written, the record says so."""


def _silent(sheet: Sheet) -> Iterator[str]:
    silent = [kind for kind in ASKED if not sheet.view.facts.of(kind)]
    if silent:
        yield sheet.say(
            "record.silent", kinds=", ".join(sheet.say(f"kind.{kind}") for kind in silent)
        )


def _unjudged(sheet: Sheet) -> Iterator[str]:
    """A limit that nothing is set against must not look as if it had been met."""
    limits = [
        f"{sheet.say(f'quantity.{limit.quantity}')} {limit_words(limit, sheet.language)}"
        for limit in sheet.view.unjudged
    ]
    if limits:
        yield sheet.say("record.unjudged", limits="; ".join(limits))


def _targets(sheet: Sheet) -> str:
    """What densities are to be read against, and how far."""
    targets = "; ".join(
        sheet.say(
            "record.density.target",
            mix=mix.name,
            target=written(mix.target_density),
            basis=sheet.say(f"basis.{mix.density_basis}"),
            gravity=mix.maximum_gravity or "—",
        )
        for mix in sheet.plan.mixes.values()
        if mix.target_density and mix.density_basis
    )
    return " ".join(filter(None, (sheet.say("record.density.line"), targets)))


def _table(sheet: Sheet, facts: Sequence[Fact]) -> Block:
    """One row an entry; without the columns of kind and place where they say nothing."""
    columns = [
        column(sheet.say("head.time"), None),
        column(sheet.say("head.kind"), 1.5),
        column(sheet.say("head.where"), 2.2),
        column(sheet.say("head.what"), 4.4),
        column(sheet.say("head.by"), 1.3),
    ]
    many = len({fact.entry.kind for fact in facts}) > 1
    somewhere = any(sheet.where(fact) for fact in facts)
    shown = [True, many, somewhere, True, True]
    rows = [list(compress(_row(sheet, fact), shown)) for fact in facts]
    return table(list(compress(columns, shown)), rows)


def _tonight(sheet: Sheet) -> Block | None:
    """Each item present, missing or not looked at; of what isn't there, who was told."""
    rows = [
        [
            sheet.say(item.what) if item.is_code else item.what,
            item.where,
            cell(
                sheet.say(f"choice.{item.state}"),
                state="" if item.state == "present" else "watch",
                small=detail(item, sheet.language),
            ),
            _told(sheet, item),
        ]
        for item in sheet.view.tonight
    ]
    heads = (("head.what", 3.0), ("head.where", 2.0), ("head.state", 2.0), ("head.told", 3.0))
    return table([column(sheet.say(code), share) for code, share in heads], rows) if rows else None


def _told(sheet: Sheet, item: Item) -> str:
    if item.state == "present":
        return ""
    matter = sheet.view.told_of(item.call, item.entry)
    if matter is None:
        return sheet.say("tonight.not-told")
    answer = "; ".join(reply.text("text") for reply in matter.replies)
    return sheet.say(
        "tonight.told",
        to=", ".join(sheet.who(one) for one in matter.to),
        at=sheet.time(matter.at),
        answer=answer or sheet.say("tonight.no-answer"),
    )


def _ratio(sheet: Sheet, fact: Fact) -> str:
    """How steep a ramp is, against its limit."""
    for reading in sheet.view.readings("ramp"):
        if reading.fact is fact:
            limits = [limit_words(j.limit, sheet.language) for j in reading.judgements]
            ratio = fixed(reading.value.value, 1)
            return sheet.say("record.ratio", ratio=ratio, limits="; ".join(limits) or "—")
    return ""


def _row(sheet: Sheet, fact: Fact) -> list[Any]:
    missing = fact.text("state") in ("missing", "not looked at", "deficient", "not done")
    held = fact.text("held") in ("not done", "not looked at")
    beyond = any(fact.id in call.entries and call.grade == "act" for call in sheet.view.calls)
    instrument = sheet.plan.instruments.get(fact.entry.instrument)
    with_what = instrument.name if instrument else fact.entry.instrument
    return [
        sheet.time(fact.at),
        sheet.say(f"kind.{fact.entry.kind}"),
        sheet.where(fact),
        cell(
            sheet.described(fact),
            state="act" if beyond else "watch" if missing or held else "",
            small="; ".join(
                filter(
                    None,
                    (
                        _ratio(sheet, fact),
                        sheet.say("record.with", instrument=with_what) if with_what else "",
                    ),
                )
            ),
        ),
        sheet.who(fact.entry.by),
    ]
