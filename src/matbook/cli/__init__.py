"""The command line: `matbook` and its commands, each in a module of its own."""

import sys
from collections.abc import Sequence
from typing import Any

import click

from matbook import __version__
from matbook.bootstrap import home_folder
from matbook.cli.add import add
from matbook.cli.demo import demo
from matbook.cli.draw import draw
from matbook.cli.exporting import export
from matbook.cli.importing import import_files
from matbook.cli.init import init
from matbook.cli.pair import pair
from matbook.cli.profile import profile
from matbook.cli.report import report
from matbook.cli.risk import risk
from matbook.cli.serve import serve
from matbook.cli.shared import complain, err
from matbook.cli.show import show
from matbook.cli.trucks import trucks
from matbook.cli.verify import verify
from matbook.cli.window import window
from matbook.errors import FileRefused, MatbookError


class Group(click.Group):
    """Turns every error we can explain into one sentence and an exit code."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except MatbookError as error:
            complain(error)
            ctx.exit(3 if error.code == "not-proven" else 2)
        except KeyboardInterrupt:
            err.print("\nmatbook: Stopped. What was being written was not kept.", markup=False)
            ctx.exit(130)
        except BrokenPipeError:
            raise  # whoever was reading has seen enough; click ends quietly
        except OSError as error:
            name = error.filename or "What is written to"
            complain(FileRefused(f"{name} can't be used: {error.strerror}."))
            ctx.exit(2)


@click.group(
    cls=Group,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="""\b
A first shift, from nothing:
  matbook init plan.toml            write a starter plan; edit it
  matbook import plan.toml          take it over as the job's plan
  matbook window --mix-temp … --air … --wind …   can we pave?
  matbook trucks --mass … --hours …              enough trucks, and which pace?
  matbook add shift-open            begin today's shift
  matbook add load plant=… ticket=… net="22.40 t" decision=taken lane=… lift=… to=2+946
  matbook show                      what needs you now
  matbook add shift-close           close and seal it
  matbook report                    the daily record, signed
\b
Exit codes: 0 done; 1 something in the input needs a person; 2 refused, with the reason;
3 a file does not prove what it should; 130 stopped by Ctrl-C.""",
)
@click.version_option(__version__, prog_name="matbook")
@click.option(
    "--home",
    metavar="FOLDER",
    help="Folder of the books and of this installation's key (MATBOOK_HOME; else ~/matbook).",
)
@click.pass_context
def main(ctx: click.Context, home: str | None) -> None:
    """The asphalt paving inspector's book: from the first ticket to a signed daily record.

    A forecast or a limit shown here is advice. It does not replace the contract, the owner's
    specification, the site safety plan, local law or licensed judgement.
    """
    ctx.obj = home_folder(home)


for command in (
    init,
    import_files,
    window,
    trucks,
    risk,
    add,
    profile,
    draw,
    show,
    report,
    verify,
    export,
    serve,
    pair,
    demo,
):
    main.add_command(command)


def run(arguments: Sequence[str] | None = None) -> None:
    """The entry point; kept apart so that tests can call `main` themselves."""
    main.main(list(arguments) if arguments is not None else sys.argv[1:], prog_name="matbook")
