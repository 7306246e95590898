"""Writes the pages of docs/ that come from the code, so that they can't drift from it.

python -m tools.write_docs            writes them
python -m tools.write_docs --check    says which would change, and fails if any would
"""

import difflib
import importlib
import inspect
import re
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib import resources
from pathlib import Path
from typing import Final

import click

from matbook import errors
from matbook.book.kinds import Field, Kind, kinds
from matbook.plan.form import Field as PlanField
from matbook.plan.form import form
from matbook.plan.limit_sets import ready
from matbook.plan.quantities import quantities
from tools.docstrings import Public, engine
from tools.roles_page import roles_page

ROOT = Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs"
NOTE = "<!-- Written by `make docs` from the code; change the code instead. -->\n"


def engine_page() -> Iterator[str]:
    """Every public function of the engine, with its source."""
    yield "# The engine"
    yield (
        "The trade's arithmetic and physics: plain numbers in, plain numbers out. Inside, masses "
        "are in kg, lengths in m, times in s and temperatures in °C; a name carries its unit (see "
        "[nomenclature](nomenclature.md)). Every function names its source: a publication, "
        "“definition” where there is nothing to name, or “common practice, no published source”. "
        "Where we had a publication only from memory, it says so."
    )
    modules = engine(ROOT / "src" / "matbook")
    yield "\n".join(f"- [{name}](#{name}): {_first(doc)}" for name, (doc, _) in modules.items())
    for name, (doc, publics) in modules.items():
        yield f"## {name}"
        yield doc
        for public in publics:
            yield from _function(public)
            for method in public.methods:
                yield f"`.{method.signature}`: {_first(method.doc.text)}"


def _function(public: Public) -> Iterator[str]:
    doc = public.doc
    yield f"### {public.name}"
    yield f"```python\n{public.signature}\n```"
    words = getattr(getattr(importlib.import_module(public.module), public.name), "words", "")
    if words:
        yield f"*{words}*"
    yield doc.text
    arguments = doc.named("Args")
    if arguments:
        yield "\n".join(f"- `{name}`: {text}" for name, text in arguments.items())
    if "Returns" in doc.sections:
        yield f"**Returns** {_line(doc.sections['Returns'])}"
    for name, text in doc.named("Raises").items():
        yield f"**Raises** `{name}`: {text}"
    if "Source" in doc.sections:
        yield f"**Source** {_line(doc.sections['Source'])}"
    if "Example" in doc.sections:
        yield f"```pycon\n{doc.sections['Example']}\n```"


def kinds_page() -> Iterator[str]:
    """Every kind of entry and its fields."""
    yield "# Kinds of entry"
    yield (
        "What a person or a machine can write into the book. A value is kept as it was written, "
        "with its unit: `22.40 t`. *Must* marks a field that can't be missing. *Usual* is no "
        "limit: outside it a person is asked once, and what they then say is kept."
    )
    for group in dict.fromkeys(kind.group for kind in kinds().values()):
        yield f"## {group.capitalize()}"
        for kind in kinds().values():
            if kind.group == group:
                yield from _kind(kind)


def _kind(kind: Kind) -> Iterator[str]:
    yield f"### {kind.name}"
    yield kind.about
    place = ", ".join(kind.place) or "none"
    yield f"Version {kind.v}. Written by: {', '.join(kind.writers)}. Place: {place}."
    if kind.fields:
        rows = [_row(field) for field in kind.fields.values()]
        yield _table(("field", "takes", "must", "usual"), rows)


def _row(field: Field) -> tuple[str, ...]:
    takes = field.type
    if field.type == "choice":
        takes = " / ".join(f"`{choice}`" for choice in field.of)
    elif field.type == "quantity":
        takes = f"{field.of}" if field.of != "any" else "any amount with its unit"
    elif field.type == "text":
        takes = f"text, at most {field.most}"
    if field.low is not None:
        takes += f", {field.low} to {field.high}"
    if field.many:
        takes = f"a list: {takes}"
    usual = f"{field.usual[0]} to {field.usual[1]}" if field.usual else ""
    return f"`{field.name}`", takes, "yes" if field.need else "", usual


def plan_page() -> Iterator[str]:
    """The form of the plan, what limits may speak of, and the ready-made limits."""
    yield "# The plan"
    yield (
        "One TOML file, taken over with `matbook import plan.toml`; `matbook init` writes one to "
        "begin with. Reading it names every mistake at once, each with its place. Amounts stand "
        "in quotes with their unit; a limit's number is kept as printed, since its digits count. "
        "A later change is an entry: `matbook add plan path=lifts/surface/spread old=… new=… "
        "agreed=… --why …`."
    )
    for table in form().values():
        yield f"## {table.name}"
        yield table.about
        rows = [_plan_row(field) for field in table.fields.values()]
        yield _table(("key", "takes", "must", "is"), rows)
    yield "## What limits may speak of"
    yield "A deviation is judged by its distance from what was planned, either way."
    yield _table(
        ("quantity", "measured as", "judged", "usually", "is"),
        [
            (f"`{q.name}`", q.dimension, q.kind, " to ".join(q.usual), q.about)
            for q in quantities().values()
        ],
    )
    yield "## Ready-made limits"
    yield (
        'In force only where a plan adopts them, as `adopt = ["set/limit"]`. The owner\'s own '
        "specification always rules."
    )
    yield _table(
        ("adopt as", "quantity", "limit", "source", "standing"),
        [_ready_row(name) for name in ready()],
    )


def _plan_row(field: PlanField) -> tuple[str, ...]:
    of = field.of if isinstance(field.of, str) else " / ".join(f"`{one}`" for one in field.of)
    takes = of if field.type == "choice" else f"{field.type} {of}".strip()
    if field.low:
        takes += f", {field.low} to {field.high}"
    if field.many:
        takes = f"a list: {takes}"
    return f"`{field.name}`", takes, "yes" if field.need else "", field.about


def _ready_row(name: str) -> tuple[str, ...]:
    row = ready()[name]
    number = f"{row.side} {row.number} {row.unit}"
    source = f"{row.source}, {row.edition}".rstrip(", ")
    return f"`{name}`", f"`{row.quantity}`", number, source, row.standing


def verifier_page() -> Iterator[str]:
    """The verifier, printed: what it checks, and the whole of it."""
    text = (resources.files("matbook.records") / "verifier.py").read_text(encoding="utf-8")
    yield VERIFIER.read_text(encoding="utf-8").strip()
    yield f"```python\n{text.rstrip()}\n```"


def errors_page() -> Iterator[str]:
    """The error tree, and the code of each error."""
    yield "# Errors"
    yield (
        "Everything refused on purpose is one of these. The text of an error is for the person "
        "who can mend it; `code` is for programs and stays as it is."
    )
    tree = inspect.cleandoc(errors.__doc__ or "").split("\n\n")[1]
    yield f"```text\n{inspect.cleandoc(tree)}\n```"
    found = [
        (f"`{name}`", f"`{error.code}`", _first(error.__doc__ or ""))
        for name, error in vars(errors).items()
        if inspect.isclass(error) and issubclass(error, errors.MatbookError)
    ]
    yield _table(("error", "code", "is"), found)


def commands_page() -> Iterator[str]:
    """Every command of the command line and its options."""
    main = importlib.import_module("matbook.cli").main
    yield "# Commands"
    yield from _command(main, "matbook", 2)


def _command(command: click.Command, path: str, level: int) -> Iterator[str]:
    context = click.Context(command, info_name=path, help_option_names=["-h", "--help"])
    yield f"{'#' * level} {path}"
    yield f"```text\n{path} {' '.join(command.collect_usage_pieces(context))}\n```"
    yield from _paragraphs(command.help)
    rows = [
        (f"`{record[0]}`", record[1])
        for parameter in command.get_params(context)
        if (record := parameter.get_help_record(context)) is not None
    ]
    yield _table(("option", "does"), [row for row in rows if row[1]])
    yield from _paragraphs(command.epilog)
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            if below is not None and not below.hidden:
                yield from _command(below, f"{path} {name}", 3)


def _paragraphs(text: str | None) -> Iterator[str]:
    """Help as paragraphs; what click is told by \\b to leave as it is becomes a block."""
    for paragraph in re.split(r"\n\n|\n(?=\x08)", inspect.cleandoc(text or "")):
        if paragraph.startswith("\b"):
            yield f"```text\n{inspect.cleandoc(paragraph.removeprefix(chr(8)))}\n```"
        elif paragraph:
            yield paragraph


def settings_page() -> Iterator[str]:
    """Every setting, all of them environment variables."""
    settings: Mapping[str, str] = importlib.import_module("matbook.bootstrap").SETTINGS
    yield "# Settings"
    yield (
        "All settings are environment variables; none is needed to start. What was agreed for a "
        "job isn't a setting: it belongs in its plan."
    )
    yield _table(("variable", "does"), [(f"`{name}`", does) for name, does in settings.items()])


VERIFIER: Final = Path(__file__).parent / "verifier_page.md"
"""What stands before the program on its page."""

PAGES: Mapping[str, Callable[[], Iterator[str]]] = {
    "engine.md": engine_page,
    "kinds.md": kinds_page,
    "plan.md": plan_page,
    "commands.md": commands_page,
    "settings.md": settings_page,
    "errors.md": errors_page,
    "verifier.md": verifier_page,
    "roles.md": roles_page,
}


def written(page: str) -> str:
    """The text of a page as the code has it now."""
    title, *rest = PAGES[page]()
    return "\n\n".join([NOTE + title, *rest]).rstrip() + "\n"


def main(*arguments: str) -> int:
    """Write the pages, or with --check say which would change."""
    drifted = 0
    for page in [name for name in arguments if name in PAGES] or PAGES:
        path = DOCS / page
        old = path.read_text(encoding="utf-8") if path.is_file() else ""
        new = written(page)
        if "--check" not in arguments:
            path.write_text(new, encoding="utf-8")
        elif old != new:
            drifted += 1
            changes = difflib.unified_diff(old.splitlines(), new.splitlines(), page, page, n=0)
            print(*list(changes)[:12], "…", sep="\n")
    if drifted:
        print("These pages are behind the code; `make docs` writes them again.")
    return 1 if drifted else 0


def _first(text: str) -> str:
    """The first paragraph, on one line."""
    return _line(text.split("\n\n")[0])


def _line(text: str) -> str:
    return " ".join(text.split())


def _table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    cells = [tuple(_line(cell).replace("|", "\\|") for cell in row) for row in rows]
    lines = [head, tuple("---" for _ in head), *cells]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
