"""Who was told: notices with their times, answers and way out; instructions and disagreements."""

from typing import Any

from matbook.records.daily.blocks import Block, cell, column, paragraph, table
from matbook.records.daily.sheet import Sheet
from matbook.shift.display import minutes
from matbook.shift.facts import Fact
from matbook.shift.told import Matter, went


def told(sheet: Sheet) -> list[Block | None]:
    """The blocks of the section on who was told."""
    return [_told(sheet), _sent(sheet), _instructions(sheet)]


def _told(sheet: Sheet) -> Block | None:
    rows = [_matter_row(sheet, matter) for matter in sheet.view.matters]
    if not rows:
        return paragraph(sheet.say("record.told.none"))
    return table(
        [
            column(sheet.say("head.time"), None),
            column(sheet.say("head.to"), 1.7),
            column(sheet.say("head.said"), 4),
            column(sheet.say("head.answer"), 3.2),
        ],
        rows,
    )


def _sent(sheet: Sheet) -> Block | None:
    """What “sent” means, where anything was."""
    return paragraph(sheet.say("sending.note")) if sheet.sendings else None


def _answers(sheet: Sheet, matter: Matter) -> str:
    """Every answer; the first with how long it took."""
    took = matter.answered_after
    after = sheet.say("record.answered-after", minutes=minutes(took)) if took is not None else ""
    said = [_answer(sheet, reply) for reply in matter.replies]
    return "; ".join([f"{said[0]} ({after})", *said[1:]]) if said else ""


def _answer(sheet: Sheet, reply: Fact) -> str:
    who = sheet.who(reply.text("from") or reply.entry.by)
    return f"{sheet.day_time(reply.at)} {who}: {reply.text('text')}"


def _when(sheet: Sheet, matter: Matter) -> str:
    """How soon after the observation somebody was told; or that it comes from an earlier shift."""
    carried = matter.shift != str(sheet.view.facts.shift)
    seen = matter.told_after
    after = sheet.say("record.told-after", minutes=minutes(seen)) if seen is not None else ""
    return " · ".join(filter(None, (sheet.say("record.carried") if carried else "", after)))


def _matter_row(sheet: Sheet, matter: Matter) -> list[Any]:
    answers = _answers(sheet, matter)
    sent = [
        went(one, sheet.who(one.person), matter.at, sheet.language)
        for one in sheet.sendings.get(matter.id, ())
    ]
    state = "fine" if matter.settled else "watch"
    small = sheet.say("record.settled" if matter.settled else "record.still-open")
    return [
        cell(
            sheet.day_time(matter.at),
            small=_when(sheet, matter),
        ),
        cell(
            ", ".join(sheet.who(person) for person in matter.to),
            small="; ".join([sheet.say(f"how.{matter.how}"), *sent]),
        ),
        matter.text,
        cell(answers or sheet.say("record.no-answer"), state=state, small=small),
    ]


def _instructions(sheet: Sheet) -> Block | None:
    rows = [
        [
            sheet.time(fact.at),
            sheet.say(f"kind.{fact.entry.kind}"),
            sheet.described(fact, "about"),
            sheet.who(fact.entry.by),
        ]
        for kind in ("instruction", "disagreement")
        for fact in sheet.view.facts.of(kind)
    ]
    if not rows:
        return None
    return table(
        [
            column(sheet.say("head.time"), None),
            column(sheet.say("head.kind"), 1.4),
            column(sheet.say("head.what"), 6),
            column(sheet.say("head.by"), 1.4),
        ],
        rows,
    )
