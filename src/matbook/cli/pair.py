"""matbook pair: a one-time code that makes a phone somebody's device."""

import click

from matbook.cli.shared import (
    as_json,
    emit,
    installation,
    job_named,
    job_option,
    say_line,
)
from matbook.errors import Refused

ROLES = ("inspector", "technician", "supervisor", "contractor")


@click.command()
@click.argument("person")
@click.option(
    "--role", type=click.Choice(ROLES), default="inspector", help="What the phone may do."
)
@click.option("--address", help="How phones reach the server; as `matbook serve` last said.")
@job_option
@as_json
@click.pass_context
def pair(
    ctx: click.Context,
    person: str,
    role: str,
    address: str | None,
    job: str | None,
    as_json: bool,
) -> None:
    """Print a one-time code, and its QR code, that pairs a phone for PERSON (an id of the plan).

    It is good for ten minutes, for one phone and for five tries. The server must be running, or be
    started within that time.
    """
    from matbook.server import codes, pairing, reach  # slow to load, so only when used

    here = installation(ctx)
    where = (address or reach.noted(here.home)).rstrip("/")
    if not where.startswith("https://"):
        raise Refused(
            "--address",
            where,
            "it must be the https:// address of the server; start `matbook serve` for phones first",
        )
    code, expires = pairing.new_pairing(here, job_named(here, job), person, role)
    target = pairing.link(where, code)
    if as_json:
        emit({"code": codes.shown(code), "address": where, "link": target, "expires": expires})
        return
    click.echo(codes.qr_terminal(target))
    say_line(f"Code:    {codes.shown(code)}")
    say_line(f"Address: {where}")
    say_line(f"For {person} as {role}, until {expires[11:16]}; for one phone.")
