"""matbook verify: what a file proves, and what it does not."""

from pathlib import Path

import click

from matbook.cli.shared import as_json, emit, say_wrapped


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@as_json
@click.pass_context
def verify(ctx: click.Context, file: Path, as_json: bool) -> None:
    """Check a daily record (PDF), a bundle (zip) or an unpacked bundle (folder).

    Needs nothing but the file. Compare the key's words with those you were given by the people
    who made it. Ends with 0 if all is proven, 3 if something is not.
    """
    from matbook.records.verify import verify_file  # slow to load, so only when used

    verdict = verify_file(file)
    if as_json:
        emit(
            {
                "file": str(file),
                "proven": verdict.proven,
                "findings": [{"proven": p, "says": says} for p, says in verdict.findings],
                "limits": verdict.limits,
            }
        )
    else:
        for proven, sentence in verdict.findings:
            say_wrapped(f"{'■ proven    ' if proven else '◆ NOT PROVEN'} {sentence}", 13)
        say_wrapped(verdict.limits, 0)
    ctx.exit(0 if verdict.proven else 3)
