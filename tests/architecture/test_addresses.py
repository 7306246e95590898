"""The project names no package registry and no place on anybody's machine.

Which registries there are is asked of this machine's own clients when the test runs, so that
this file doesn't name them either.
"""

import re
import shutil
import subprocess
import sys
from functools import cache
from pathlib import Path

from tests.architecture import house

ADDRESS = re.compile(r"(?:https?|file)://(?:[^\s/@'\"]*@)?([^\s'\"<>)]+)")

MANUALS = frozenset({"pip.pypa.io"})
"""Named in what the clients say, and only a manual."""


def asked(*command: str) -> str:
    """What a client says when asked how it is set up; nothing where there is no such client."""
    if shutil.which(command[0]) is None:
        return ""
    return subprocess.run(command, capture_output=True, text=True, check=False).stdout


@cache
def registries() -> frozenset[str]:
    """Hosts and folders that pip, npm and apt fetch from on this machine."""
    pip = (sys.executable, "-m", "pip")
    said = asked(*pip, "config", "list") + asked(*pip, "install", "--help")
    said += asked("npm", "config", "get", "registry")
    lists = Path("/etc/apt")
    for path in sorted([*lists.glob("sources.list*"), *lists.glob("sources.list.d/*")]):
        if path.is_file():
            said += path.read_text(encoding="utf-8", errors="replace")
    return frozenset(addresses(said) | folders(said))


def addresses(said: str) -> set[str]:
    """Host names, and the folders of file:// addresses."""
    found = set()
    for rest in ADDRESS.findall(said):
        host, _, _ = rest.partition("/")
        found.add(host or rest)
    return {name for name in found if "." in name or name.startswith("/")} - MANUALS


def folders(said: str) -> set[str]:
    """Folders of packages that pip is told to look into."""
    found = re.findall(r"(?:find-links|index-url)\s*=\s*'?([^'\n]+)", said)
    return {part for value in found for part in value.split() if part.startswith("/")}


def holders(needle: str) -> list[str]:
    """The files that hold an address or a path, as a whole."""
    whole = re.compile(rf"(?<![\w.-]){re.escape(needle)}(?![\w-])")
    return [name for name, text in house.texts().items() if whole.search(text)]


def test_no_file_names_a_registry() -> None:
    assert registries(), "no client said where it fetches from"
    assert {name: found for name in registries() if (found := holders(name))} == {}


def test_no_file_names_the_folder_it_was_written_in() -> None:
    assert holders(str(house.ROOT)) == []


def test_the_lock_pins_by_hash_alone() -> None:
    lock = house.texts()["requirements.lock"]
    pinned = re.findall(r"^([a-z0-9-]+)==\S+.*\\\n    --hash=sha256:", lock, re.MULTILINE)
    assert len(pinned) > 40
    assert len(pinned) == len(re.findall(r"^\w", lock, re.MULTILINE))
    assert "://" not in lock


def test_an_address_is_found_in_what_a_client_says() -> None:
    said = "index-url='https://a:b@packages.example/simple'\nfind-links = '/srv/wheels x'"
    assert addresses(said) == {"packages.example"}
    assert folders(said) == {"/srv/wheels"}
