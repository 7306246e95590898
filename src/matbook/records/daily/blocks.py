"""The blocks that a record is set from: plain data, so that nothing typed can become markup."""

from collections.abc import Sequence
from typing import Any

Block = dict[str, Any]
Cell = str | dict[str, Any]


def paragraph(text: str) -> Block:
    return {"kind": "paragraph", "text": text}


def facts(items: Sequence[tuple[str, str]]) -> Block:
    """Labels and values; what has no value is left out."""
    return {
        "kind": "facts",
        "items": [{"label": label, "value": value} for label, value in items if value],
    }


def number(label: str, value: str, unit: str, line: str, state: str = "") -> dict[str, str]:
    """One of the numbers that lead a record."""
    return {"label": label, "number": value, "unit": unit, "line": line, "state": state}


def numbers(items: Sequence[dict[str, str]]) -> Block:
    return {"kind": "numbers", "items": list(items)}


def column(head: str, width: float | None = 1, align: str = "left") -> dict[str, Any]:
    """A column; without a width it is as wide as its widest line, and never breaks one."""
    return {"head": head, "align": align} | ({} if width is None else {"width": width})


def table(
    columns: Sequence[dict[str, Any]],
    rows: Sequence[Sequence[Cell]],
    caption: str = "",
    empty: str = "",
) -> Block:
    return {
        "kind": "table",
        "columns": list(columns),
        "rows": [list(row) for row in rows],
        "caption": caption,
        "empty": empty,
    }


def cell(text: str, *, state: str = "", struck: bool = False, small: str = "") -> Cell:
    """A cell with a state, a line through it, or a second line; plain text where it has none."""
    extra = {"state": state, "struck": struck, "small": small}
    kept = {name: value for name, value in extra.items() if value}
    return {"text": text, **kept} if kept else text


def chart(file: str, alt: str, caption: str) -> Block:
    return {"kind": "chart", "file": file, "alt": alt, "caption": caption}


def item(state: str, text: str, small: str = "") -> dict[str, str]:
    return {"state": state, "text": text, "small": small}


def items(found: Sequence[dict[str, str]]) -> Block:
    return {"kind": "list", "items": list(found)}


def caution(text: str) -> Block:
    return {"kind": "caution", "text": text}


def section(title: str, blocks: Sequence[Block | None]) -> dict[str, Any] | None:
    """A section, or nothing where all its blocks are empty."""
    kept = [block for block in blocks if block is not None]
    return {"title": title, "blocks": kept} if kept else None
