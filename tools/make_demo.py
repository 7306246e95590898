"""Write the demo's files into the package: `python -m tools.make_demo`.

The plans are written by hand and lie beside the files made here. The same run gives the same
bytes on every machine; a test makes them again and compares.
"""

import json
from collections.abc import Iterable

from matbook.book.entry import Entry
from tools.demo import harrow, kestrel
from tools.demo.plans import FOLDER


def made() -> dict[str, bytes]:
    """Every file that the demo has beside its plans, by its name in the demo's folder."""
    entries, rest, tickets = harrow.made()
    night, night_tickets = kestrel.made()
    files = {
        "harrow/entries.jsonl": lines(entries),
        "harrow/rest-of-the-day.jsonl": lines(rest),
        "harrow/tickets-2026-06-16.csv": tickets,
        "kestrel/entries.jsonl": lines(night),
        "kestrel/tickets-2026-10-31.csv": night_tickets,
    }
    return {name: text.encode() for name, text in files.items()}


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
