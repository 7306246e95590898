"""The guide in words: what it looks like, likely causes, what to check first, whom to tell."""

from typing import Any

from matbook.desk.asking import Asked
from matbook.shift.guide import Sign
from matbook.shift.guide import guide as every_sign

Row = dict[str, Any]


def guide(asked: Asked) -> Row:
    """Every sign in words with its drawing, those of the load first."""
    return {
        "title": asked.say("guide.title"),
        "several": asked.say("guide.several"),
        "groups": [
            {
                "of": of,
                "title": asked.say(f"guide.{of}"),
                "signs": [_sign(asked, one) for one in every_sign().values() if one.of == of],
            }
            for of in ("load", "mat")
        ],
        "causes": asked.say("guide.causes"),
        "first": asked.say("guide.first"),
        "tell": asked.say("guide.tell"),
    }


def _sign(asked: Asked, sign: Sign) -> Row:
    people = sign.people(asked.plan)
    roles = [asked.say(f"role.{role}") for role in sign.tell]
    return {
        "id": sign.id,
        "name": sign.name(asked.words),
        "looks": asked.say(f"guide.{sign.id}.looks"),
        "causes": [
            {
                "where": asked.say(f"guide.cause.{where}"),
                "words": asked.say(f"guide.{sign.id}.{where}"),
            }
            for where in sign.causes()
        ],
        "first": asked.say(f"guide.{sign.id}.first"),
        "tell": [f"{one.name}, {asked.say(f'role.{one.role}')}" for one in people] or roles,
        "svg": sign.drawing(),
    }
