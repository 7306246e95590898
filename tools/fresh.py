"""Says what a fresh machine lacks before anything is set up; needs nothing but Python itself."""

import importlib.util
import sys


def lacking() -> str:
    """What this machine lacks, as a sentence with its remedy; empty if nothing."""
    if sys.version_info < (3, 11):  # noqa: UP036  (whoever runs this may have an older one)
        return (
            f"Matbook needs Python 3.11 or newer; this is {sys.version.split()[0]} "
            f"({sys.executable}). Name another with: make PYTHON=/path/to/python3"
        )
    if not (importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip")):
        return "This Python can't make virtual environments. On Debian: apt install python3-venv"
    return ""


if __name__ == "__main__":
    sys.exit(lacking() or 0)
