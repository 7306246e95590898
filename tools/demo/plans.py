"""What the demo's makers take from the plans, so that nothing is said twice."""

import tomllib
from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).resolve().parents[2] / "src" / "matbook" / "demo"


def text(job: str) -> str:
    """The plan as it is written."""
    return (FOLDER / job / "plan.toml").read_text(encoding="utf-8")


def tares(job: str) -> dict[str, int]:
    """Each truck's tare by the plan, in hundredths of the ticket's unit."""
    plan = tomllib.loads(text(job))
    return {truck["id"]: round(100 * float(truck["tare"].split()[0])) for truck in plan["trucks"]}
