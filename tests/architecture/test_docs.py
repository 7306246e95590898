"""The docs can't drift: what there is, is documented, and what is documented, is there."""

import inspect
import re
from collections.abc import Iterator

import click
import pytest

from matbook import bootstrap, cli, errors
from matbook.book.kinds import kinds
from tests.architecture import house
from tools import write_docs
from tools.docstrings import engine

PAGES = sorted(
    name
    for name in house.texts()
    if name.endswith(".md") and (name.startswith("docs/") or "/" not in name)
)
LINK = re.compile(r"(?<!!)\[[^\]\n]+\]\(([^)\s]+)\)")
FENCED = re.compile(r"^```(\w*)\n(.*?)^```", re.MULTILINE | re.DOTALL)


def page(name: str) -> str:
    return house.texts()[f"docs/{name}"]


def prose(text: str) -> str:
    return FENCED.sub("", text)


def anchors(text: str) -> set[str]:
    """The anchors that a page's headings make."""
    heads = re.findall(r"^#{1,6} (.+)$", prose(text), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", head).strip().lower().replace(" ", "-") for head in heads}


def commands(group: click.Group, path: str = "") -> Iterator[tuple[str, click.Command]]:
    for name, command in group.commands.items():
        yield f"{path}{name}", command
        if isinstance(command, click.Group):
            yield from commands(command, f"{path}{name} ")


@pytest.mark.parametrize("name", write_docs.PAGES)
def test_a_page_is_as_the_code_has_it(name: str) -> None:
    assert page(name) == write_docs.written(name), "make docs writes it again"


def test_every_command_and_option_is_documented() -> None:
    text = page("commands.md")
    found = dict(commands(cli.main))
    assert len(found) >= 8
    for path, command in found.items():
        assert f"### matbook {path}\n" in text
        assert command.help, path
        for parameter in command.params:
            if isinstance(parameter, click.Option) and not parameter.hidden:
                assert parameter.help, f"{path} {parameter.name}"
                assert all(option in text for option in parameter.opts)


def test_every_kind_and_field_is_documented() -> None:
    text = page("kinds.md")
    for name, kind in kinds().items():
        section = text.partition(f"### {name}\n")[2].partition("\n### ")[0]
        assert kind.about in section
        assert all(f"`{field}`" in section for field in kind.fields)


def test_every_engine_function_is_documented() -> None:
    text = page("engine.md")
    for module, (_, publics) in engine(house.SOURCE).items():
        section = text.partition(f"## {module}\n")[2].partition("\n## ")[0]
        assert [p.name for p in publics if f"### {p.name}\n" not in section] == []


def test_every_setting_is_documented_and_every_documented_one_is_read() -> None:
    read = {
        name
        for file, text in house.texts().items()
        if file.startswith("src/") and file.endswith(".py")
        for name in re.findall(r"\bMATBOOK_[A-Z_]+\b", text)
    }
    assert read == set(bootstrap.SETTINGS)
    assert [name for name in bootstrap.SETTINGS if f"`{name}`" not in page("settings.md")] == []


def test_every_error_is_documented_and_in_the_tree() -> None:
    drawn = inspect.getdoc(errors) or ""
    for name, error in vars(errors).items():
        if inspect.isclass(error) and issubclass(error, errors.MatbookError):
            assert f"`{error.code}`" in page("errors.md")
            assert re.search(rf"\b{name}\b", drawn)


def test_every_error_code_is_its_own() -> None:
    codes = [e.code for e in vars(errors).values() if inspect.isclass(e) and hasattr(e, "code")]
    assert sorted(codes) == sorted(set(codes))


@pytest.mark.parametrize("name", PAGES)
def test_links_lead_somewhere(name: str) -> None:
    folder = (house.ROOT / name).parent
    for link in LINK.findall(prose(house.texts()[name])):
        if "://" in link or link.startswith("mailto:"):
            continue
        target, _, anchor = link.partition("#")
        path = (folder / target).resolve() if target else house.ROOT / name
        assert path.exists(), link
        if anchor and path.suffix == ".md":
            assert anchor in anchors(path.read_text(encoding="utf-8")), link


@pytest.mark.parametrize("name", PAGES)
def test_commands_shown_exist(name: str) -> None:
    known = {path.split(" ")[0] for path, _ in commands(cli.main)}
    targets = set(re.findall(r"^([a-z-]+):", house.texts()["Makefile"], re.MULTILINE))
    for text in shown(house.texts()[name]):
        for command in re.findall(r"^(?:\$ )?(?:\.venv/bin/)?matbook ([a-z][a-z-]*)", text):
            assert command in known, text
        for target in re.findall(r"^(?:\$ )?make ([a-z][a-z-]*)", text):
            assert target in targets, text


def shown(text: str) -> Iterator[str]:
    """Lines of code blocks, and code within a line."""
    for _, block in FENCED.findall(text):
        yield from (line.strip() for line in block.splitlines())
    yield from re.findall(r"`([^`\n]+)`", prose(text))


def test_every_page_is_in_an_index() -> None:
    listed = {
        (house.ROOT / folder / link.partition("#")[0]).resolve()
        for folder in ("docs", "docs/decisions")
        for link in LINK.findall(house.texts()[f"{folder}/README.md"])
    }
    pages = {house.ROOT / name for name in PAGES if name.startswith("docs/")}
    assert pages - listed == {house.ROOT / "docs" / "README.md"}


def test_anchors_are_made_as_they_are_shown() -> None:
    assert anchors("# The book\n\n## What is proven, and what is not\n") == {
        "the-book",
        "what-is-proven-and-what-is-not",
    }
