"""Ready-made limits as data, each with its source and standing; in force only where adopted."""

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Any

from matbook.plan.model import Limit


@lru_cache(maxsize=1)
def limit_sets() -> Mapping[str, Mapping[str, Limit]]:
    """Every ready-made set: name -> id -> limit."""
    folder = resources.files("matbook.plan.limit_sets")
    found: dict[str, Mapping[str, Limit]] = {}
    for file in sorted(folder.iterdir(), key=lambda file: file.name):
        if file.name.endswith(".toml"):
            name = file.name.removesuffix(".toml")
            found[name] = _set(name, tomllib.loads(file.read_text(encoding="utf-8")))
    return found


def ready_limit(name: str) -> Limit | None:
    """One ready-made limit by “set/limit”; None if there is none."""
    which, _, limit = name.partition("/")
    return limit_sets().get(which, {}).get(limit)


def _set(name: str, data: Mapping[str, Any]) -> dict[str, Limit]:
    common = {key: data[key] for key in ("source", "standing") if key in data}
    return {
        limit_id: Limit(id=f"{name}/{limit_id}", **{**common, **row})
        for limit_id, row in data["limits"].items()
    }
