"""The commented plan that a newcomer begins with, in metric or US units: `starter/*.toml`."""

from importlib import resources
from typing import Literal


def starter(units: Literal["metric", "us"] = "metric") -> str:
    """The text of a starter plan; it reads without a mistake, and every number says its source.

    Example:
        >>> starter("us").partition(":")[0]
        '# A plan for Matbook'
    """
    file = resources.files(__package__) / "starter" / f"{units}.toml"
    return file.read_text(encoding="utf-8")
