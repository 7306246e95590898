"""Make what the app is built from: forms, words, Python's own files and the core, as an archive.

`python -m tools.write_web` needs `npm ci` in web/ first. The archive is the same bytes for the
same sources, and its name carries their hash, so that a browser keeps it for as long as it holds.
"""

import hashlib
import io
import json
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from tools import write_forms

ROOT: Final = Path(__file__).resolve().parent.parent
WEB: Final = ROOT / "web"
PUBLIC: Final = WEB / "public"
GENERATED: Final = WEB / "src" / "generated"
CORE: Final = ("errors.py", "words", "engine", "book", "plan", "shift", "desk")
PYODIDE: Final = (
    "pyodide.mjs",
    "pyodide.asm.mjs",
    "pyodide.asm.wasm",
    "python_stdlib.zip",
    "pyodide-lock.json",
)
LONG_AGO: Final = (1980, 1, 1, 0, 0, 0)


def core_files() -> Iterator[tuple[str, bytes]]:
    """Every file of the core by its name in the archive, in order."""
    package = ROOT / "src" / "matbook"
    yield "matbook/__init__.py", b""
    for name in CORE:
        path = package / name
        for file in [path] if path.is_file() else sorted(path.rglob("*")):
            if file.is_file() and "__pycache__" not in file.parts:
                yield f"matbook/{file.relative_to(package).as_posix()}", file.read_bytes()


def archive() -> bytes:
    """The core as a zip, the same bytes for the same files."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as file:
        for name, raw in core_files():
            file.writestr(zipfile.ZipInfo(name, LONG_AGO), raw, zipfile.ZIP_DEFLATED)
    return made.getvalue()


def main() -> None:
    """Write everything anew."""
    write_forms.main()
    for file in (ROOT / "src" / "matbook" / "words").glob("*.json"):
        shutil.copy(file, GENERATED / f"words-{file.name}")
    PUBLIC.mkdir(exist_ok=True)
    for old in PUBLIC.glob("core-*.zip"):
        old.unlink()
    raw = archive()
    name = f"core-{hashlib.sha256(raw).hexdigest()[:16]}.zip"
    (PUBLIC / name).write_bytes(raw)
    (GENERATED / "assets.json").write_text(json.dumps({"core": name}) + "\n", encoding="utf-8")
    (PUBLIC / "pyodide").mkdir(exist_ok=True)
    for part in PYODIDE:
        shutil.copy(WEB / "node_modules" / "pyodide" / part, PUBLIC / "pyodide" / part)


if __name__ == "__main__":
    main()
