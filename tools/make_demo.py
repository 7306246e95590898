"""Write the demo's files into the package: `python -m tools.make_demo`.

The plans are written by hand and lie beside the files made here. The same run gives the same
bytes on every machine; a test makes them again and compares.
"""

import json
from collections.abc import Iterable
from typing import Final

from matbook.book.entry import Entry
from tools.demo import harrow, kestrel
from tools.demo.plans import FOLDER

JOBS: Final = {"harrow": (harrow.made, "2026-06-16"), "kestrel": (kestrel.made, "2026-10-31")}
"""What makes a job's entries and ticket file, and the working date of that file's shift."""


def made() -> dict[str, bytes]:
    """Every file that the demo has beside its plans, by its name in the demo's folder."""
    files = {}
    for job, (make, date) in JOBS.items():
        entries, tickets = make()
        files[f"{job}/entries.jsonl"] = lines(entries).encode()
        files[f"{job}/tickets-{date}.csv"] = tickets.encode()
    return files


def lines(entries: Iterable[Entry]) -> str:
    """Entries as JSON lines, each with its hash and the text exactly as written."""
    pairs = ({"hash": entry.hash, "text": entry.text} for entry in entries)
    return "".join(f"{json.dumps(pair, ensure_ascii=False)}\n" for pair in pairs)


def main() -> None:
    for name, raw in made().items():
        (FOLDER / name).write_bytes(raw)
        print(f"{FOLDER / name}: {len(raw)} bytes")


if __name__ == "__main__":
    main()
