"""Write what the app takes from the core: `python -m tools.write_web` (`--check` only compares).

- `web/src/generated/`: the book's forms, units and sentences, as the app's own code reads them;
- `web/public/core-….zip`: the core, for the browser's Python, named by what it is made of;
- `web/public/pyodide/`: the browser's Python, from `web/node_modules`;
- `web/src/generated/assets.json`: Matbook's version, and what the core is called.

What is imported when the app starts is compiled in both (`tools/compiled.py`).
"""

import hashlib
import io
import json
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from matbook import __version__
from matbook.book.forms import PLACE_TEXTS
from matbook.book.kinds import EXAMPLES, Field, Kind, kinds
from matbook.engine import units
from tools import write_forms

ROOT: Final = Path(__file__).resolve().parent.parent
SOURCE: Final = ROOT / "src" / "matbook"
WEB: Final = ROOT / "web"
PYODIDE: Final = WEB / "node_modules" / "pyodide"

CORE: Final = ("errors.py", "words", "engine", "book", "plan", "shift", "lots", "desk")
"""The layers of the core, as far as they exist; they need the standard library only."""
CARRIED: Final = frozenset({".py", ".toml", ".json", ".csv"})
PYTHON: Final = (
    "pyodide.mjs",
    "pyodide.asm.mjs",
    "pyodide.asm.wasm",
    "python_stdlib.zip",
    "pyodide-lock.json",
)
MAKING: Final = (PYODIDE / "package.json", WEB / "compile.mjs", ROOT / "tools" / "compiled.py")
"""What else the core's archive depends on: which Python compiles it, and how."""
_THEN: Final = (1980, 1, 1, 0, 0, 0)
"""The time of every file in the core's archive: the same core gives the same archive."""


def generated() -> dict[str, str]:
    """The files of `web/src/generated` that depend on the source alone, by name."""
    files = {"kinds.json": _json(_kinds()), "units.json": _json(_units())}
    for path in sorted((SOURCE / "words").glob("*.json")):
        files[f"words-{path.stem}.json"] = path.read_text(encoding="utf-8")
    return files


def _kinds() -> dict[str, Any]:
    return {
        "kinds": {name: _kind(kind) for name, kind in kinds().items()},
        "examples": dict(EXAMPLES),
        "place": list(PLACE_TEXTS),
    }


def _kind(kind: Kind) -> dict[str, Any]:
    return {
        "v": kind.v,
        "group": kind.group,
        "writers": list(kind.writers),
        "place": list(kind.place),
        "fields": {name: _field(field) for name, field in kind.fields.items()},
    }


def _field(field: Field) -> dict[str, Any]:
    names = ("type", "need", "many", "most", "of", "low", "high", "usual")
    return {name: getattr(field, name) for name in names}


def _units() -> dict[str, Any]:
    return {
        "units": {name: _unit(unit) for name, unit in units.UNITS.items()},
        "spelled": dict(units.SPELLED),
    }


def _unit(unit: units.Unit) -> dict[str, Any]:
    """What a unit measures; and a, b, c of its SI value of n/d: (a*n + b*d) / (c*d)."""
    factor, offset = unit.factor, unit.offset
    line = (
        factor.numerator * offset.denominator,
        offset.numerator * factor.denominator,
        factor.denominator * offset.denominator,
    )
    return {"measure": unit.dimension, "line": [str(number) for number in line]}


def core_files() -> dict[str, bytes]:
    """What the browser's Python gets of the core, by its name in the archive."""
    found = {"matbook/__init__.py": (SOURCE / "__init__.py").read_bytes()}
    for layer in CORE:
        path = SOURCE / layer
        for file in [path] if path.is_file() else sorted(path.rglob("*")):
            if file.suffix in CARRIED:
                name = file.relative_to(SOURCE.parent).as_posix()
                found[name] = file.read_bytes()
    return dict(sorted(found.items()))


def core_archive(files: Mapping[str, bytes]) -> bytes:
    """The core in one file, which is compressed on its way; the same files give the same bytes."""
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, _THEN), content)
    return whole.getvalue()


def core_name(files: Mapping[str, bytes]) -> str:
    """What the core's archive is called: by what it is made of."""
    made_of = {**files, **{path.name: path.read_bytes() for path in MAKING}}
    lines = [f"{hashlib.sha256(content).hexdigest()} {name}" for name, content in made_of.items()]
    return f"core-{hashlib.sha256(chr(10).join(lines).encode()).hexdigest()[:16]}.zip"


def write_public() -> str:
    """Put the core and the browser's Python into `web/public`; returns `assets.json`."""
    files = core_files()
    name, public = core_name(files), WEB / "public"
    if not (public / name).is_file():
        for old in public.glob("core-*.zip"):
            old.unlink()
        (public / "pyodide").mkdir(exist_ok=True)
        for one in PYTHON:
            shutil.copy(PYODIDE / one, public / "pyodide")
        (public / "core.zip").write_bytes(core_archive(files))
        command = ["node", "compile.mjs", "public/core.zip", "public/pyodide/python_stdlib.zip"]
        subprocess.run(command, cwd=WEB, check=True)
        (public / "core.zip").rename(public / name)
    return _json({"version": __version__, "core": name})


def stale(folder: Path) -> Iterator[str]:
    """The generated files that are not as they should be."""
    for name, text in generated().items():
        path = folder / name
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            yield name


def main(*arguments: str) -> None:
    """Write the files, or say which aren't as they should be."""
    folder = WEB / "src" / "generated"
    if "--check" in arguments:
        if found := ", ".join(stale(folder)):
            sys.exit(f"Not current: {found}; python -m tools.write_web writes them")
        return
    folder.mkdir(parents=True, exist_ok=True)
    write_forms.main()
    for name, text in (generated() | {"assets.json": write_public()}).items():
        (folder / name).write_text(text, encoding="utf-8")


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    main(*sys.argv[1:])
