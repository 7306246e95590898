"""Writes THIRD_PARTY: every package in the lock with its licence, from what is installed.

python -m tools.write_third_party
"""

import re
import tomllib
from collections.abc import Iterator
from importlib.metadata import PackageMetadata, metadata, requires
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parent.parent

HEAD = """\
Third-party software

Matbook itself is under the Apache License 2.0; see LICENSE. It contains no code of others, and one
family of fonts in src/matbook/records/fonts: Matbook Sans, made from Source Sans 3 by Adobe under
the SIL Open Font License 1.1, whose text lies beside the fonts.

What `requirements.lock` installs besides, with each package's licence as the package states it:
"""

ELSEWHERE = {"ciw": "MIT", "colorama": "BSD-3-Clause", "tzdata": "Apache-2.0"}
"""Licences of packages that only Windows installs, and of one that has it in a file only."""

CARRIED = """\
Carried inside packages

    typst      fonts: Libertinus Serif (OFL-1.1), New Computer Modern
               (GUST Font License), DejaVu Sans Mono (Bitstream Vera licence)
    pypdfium2  PDFium (BSD-3-Clause, Apache-2.0) and the libraries it is built with
    lxml       libxml2 and libxslt (MIT)
    pillow     image libraries under their own permissive licences
"""

APP = """\
Served with the app, from `web/package-lock.json`

    pyodide    314.0.7   MPL-2.0, with Python's standard library (PSF-2.0), in part compiled
    idb        8.0.4     ISC
    svelte     5.57.3    MIT
    zxing-wasm 3.1.6     MIT, with ZXing-C++ (Apache-2.0)
"""

NAMES = {
    "Apache 2.0": "Apache-2.0",
    "Apache Software License": "Apache-2.0",
    "BSD 2-Clause License": "BSD-2-Clause",
    "BSD License": "BSD",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
}
"""What packages write, in SPDX's words."""

PERMISSIVE = re.compile(r"(MIT|BSD|Apache)\b.*|0BSD|Zlib|CC0-1\.0")


def locked(text: str) -> dict[str, str]:
    """Package -> version in a lock; where it depends on Python, the versions side by side."""
    found: dict[str, list[str]] = {}
    for name, version in re.findall(r"^([a-z0-9-]+)==([^\s;]+)", text, re.MULTILINE):
        found.setdefault(name, []).append(version)
    return {name: " / ".join(versions) for name, versions in found.items()}


def licence(package: str) -> str:
    """A package's licence as it states it."""
    if package in ELSEWHERE:
        return ELSEWHERE[package]
    for said in _said(metadata(package)):
        if said and len(said) <= 60 and "\n" not in said:
            return NAMES.get(said, said)
    raise SystemExit(f"{package} doesn't say its licence; look, and add it to ELSEWHERE")


def _said(about: PackageMetadata) -> Iterator[str]:
    yield from about.get_all("License-Expression") or ()
    yield from about.get_all("License") or ()
    for classifier in about.get_all("Classifier") or ():
        if classifier.startswith("License :: "):
            yield classifier.rpartition(" :: ")[2]


def at_run_time() -> set[str]:
    """The packages that a person who only uses Matbook has installed."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    waiting = [Requirement(line) for line in project["dependencies"]]
    found: set[str] = set()
    while waiting:
        wanted = waiting.pop()
        name = canonicalize_name(wanted.name)
        if name in found or (wanted.marker and not wanted.marker.evaluate({"extra": ""})):
            continue
        found.add(name)
        waiting += [Requirement(line) for line in requires(name) or ()]
    return found


def is_permissive(stated: str) -> bool:
    """Whether a licence is MIT, BSD, Apache or as free as these, whichever part is taken."""
    parts = re.split(r"\s+(?:AND|OR)\s+|,\s*", stated)
    return all(PERMISSIVE.fullmatch(part) for part in parts)


def written() -> str:
    """The text of THIRD_PARTY."""
    versions = locked((ROOT / "requirements.lock").read_text(encoding="utf-8"))
    licences = {name: licence(name) for name in versions}
    used = at_run_time()
    other = [name for name in versions if not is_permissive(licences[name])]
    parts = [
        HEAD,
        _list("Other than MIT, BSD or Apache: look at these first", other, versions, licences),
        _list("At run time", [n for n in versions if n in used], versions, licences),
        _list(
            "For development, and on other systems",
            [n for n in versions if n not in used],
            versions,
            licences,
        ),
        CARRIED,
        APP,
    ]
    return "\n".join(parts)


def _list(title: str, names: list[str], versions: dict[str, str], licences: dict[str, str]) -> str:
    rows = (f"    {name:<22} {versions[name]:<18} {licences[name]}" for name in names)
    return "\n".join([title, "", *rows]) + "\n"


if __name__ == "__main__":
    (ROOT / "THIRD_PARTY").write_text(written(), encoding="utf-8")
