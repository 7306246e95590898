"""Writes requirements.lock: every version we install, with hashes, for every platform.

    python tools/lock.py PATH_TO_UV [--upgrade]

A hash is enough to know a package by, so the lock names no registry and no path: whoever
installs from it uses the registry their own pip is set up with.
"""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LOCK = ROOT / "requirements.lock"
HEADER = "# Written by `make lock` from pyproject.toml: run-time and dev packages, Python 3.11+.\n"


def main(uv: str, *options: str) -> None:
    """Run uv, then refuse a lock that gives away where it was made."""
    command = [uv, "pip", "compile", "pyproject.toml", "--extra", "dev", "--quiet"]
    command += ["--universal", "--python-version", "3.11", "--generate-hashes"]
    command += ["--no-emit-index-url", "--no-emit-find-links", "--no-header"]
    command += ["--output-file", LOCK.name, *options]
    subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    text = LOCK.read_text(encoding="utf-8")
    if re.search(r"://|(?<!\w)/\w+/|^-", text, re.MULTILINE):
        sys.exit("The lock holds an address, a path or an option; not kept as it is.")
    LOCK.write_text(HEADER + text, encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
