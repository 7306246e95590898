"""Control strips and gauges in the record: the growth drawn, and each in a few sentences."""

from collections.abc import Callable, Mapping
from typing import Any

from matbook.records.daily.blocks import Block, caution, item, items, paragraph, section
from matbook.shift.charts.frame import Chart

Draw = Callable[[Chart | None], Block | None]


def tested(found: Mapping[str, Any], draw: Draw) -> list[dict[str, Any] | None]:
    """A section for strips and one for gauges, of those that there are.

    Args:
        found: What the questions `strip` and `gauges` were answered with, by the question.
        draw: Puts a chart beside the record.
    """
    return [_section(found[name], draw) for name in ("strip", "gauges") if name in found]


def _section(said: Mapping[str, Any], draw: Draw) -> dict[str, Any] | None:
    blocks: list[Block | None] = []
    for part in said["parts"]:
        blocks.append(paragraph(part["title"]))
        blocks.append(items([item(one["state"], one["text"]) for one in part["lines"]]))
        chart = part["chart"]
        if chart is not None:
            named = f"growth-{len(blocks)}"
            blocks.append(draw(Chart(named, chart["svg"], chart["alt"], chart["caption"])))
        if part["notes"]:
            blocks.append(paragraph(" ".join(part["notes"])))
    if blocks and said["cautions"]:
        blocks.append(caution(" ".join(said["cautions"])))
    return section(said["title"], blocks)
