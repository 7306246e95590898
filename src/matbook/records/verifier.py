"""Checks a Matbook bundle without Matbook: python verifier.py FOLDER-OR-ZIP

Needs Python 3.11 or later and the package `cryptography`.
Ends with 0 if everything is proven, with 1 if not, with 2 if there is nothing to read.
"""

import base64
import hashlib
import json
import lzma
import sys
import zipfile
import zlib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec, utils
from cryptography.hazmat.primitives.hashes import SHA256

LIMITS = (
    "If the key is the one you were given by the people who made this, nothing under the seal was "
    "altered since. That does not show that what was written is true, nor when it was written: "
    "device clocks can be wrong."
)
NOT_PROVEN = "Something here is not proven: don't rely on any of it before you know why."

Finding = tuple[bool, str]
"""Whether a point is proven, and what it is in one sentence."""

Data = Mapping[str, Any]  # an opened entry

DAMAGED = (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, ValueError, RuntimeError)
"""What a zip file raises that is damaged, locked or packed in a way that isn't known here."""


def check(files: Mapping[str, bytes]) -> Iterator[Finding]:
    """Everything the files of a bundle prove, point by point."""
    entries, bad = read_entries(files.get("entries.jsonl", b""))
    if entries and not bad:
        yield True, f"{len(entries)} entries are here, each with the text its hash was made from."
    else:
        yield False, f"{len(entries)} entries can be read; {bad} are changed or can't be read."
    yield check_shift(entries)
    yield check_chains(entries)
    seals = {name: data for name, data in entries.items() if data["kind"] == "seal"}
    yield from map(check_signature, seals, seals.values())
    yield from check_list(entries, seals, files.get("sealed.txt", b""))
    yield from check_attachments(entries, files)


def read_entries(lines: bytes) -> tuple[dict[str, Data], int]:
    """Opened entries by hash, and how many lines are not what they should be."""
    entries, bad = {}, 0
    for line in lines.splitlines():
        try:
            pair = json.loads(line)
            data = {"shift": ""} | json.loads(pair["text"])
            names = ("job", "shift", "device", "prev", "kind", "written")
            shaped = isinstance(data["body"], dict) and isinstance(data["seq"], int)
            shaped = shaped and all(isinstance(data[name], str) for name in names)
            if not shaped or digest(pair["text"].encode()) != pair["hash"]:
                raise ValueError("This is not the entry it is said to be.")
            entries[pair["hash"]] = data
        except (ValueError, KeyError, TypeError, RecursionError):
            bad += 1
    return entries, bad


def check_shift(entries: Mapping[str, Data]) -> Finding:
    """All entries, seals too, are of one shift of one job, or of that job's plan."""
    jobs = {data["job"] for data in entries.values()}
    shifts = sorted({data["shift"] for data in entries.values() if data["kind"] != "plan"})
    if len(jobs) == len(shifts) == 1:
        return True, f"All of them are of the shift {shifts[0]}, or of the plan."
    return False, f"Entries of {len(jobs)} jobs and {len(shifts)} shifts are mixed here."


def check_chains(entries: Mapping[str, Data]) -> Finding:
    """Each entry names the hash of the one before it on its device, as far as that is here."""
    here = numbered(entries)
    before = {name: here.get((d["device"], d["seq"] - 1)) for name, d in entries.items()}
    broken = [
        name for name, found in before.items() if found and entries[name]["prev"] not in found
    ]
    if broken:
        return False, f"{len(broken)} entries do not follow the entry before them on their device."
    devices = {device for device, _ in here}
    gaps = [(device, seq) for device, seq in here if seq > 1 and (device, seq - 1) not in here]
    missing = f" {len(gaps)} stretches of them are not here." if gaps else ""
    return True, f"What is here of the chains of {len(devices)} device(s) fits together.{missing}"


def numbered(entries: Mapping[str, Data]) -> dict[tuple[str, int], set[str]]:
    """Hashes by device and number: more than one where a device was cloned, or its past forged."""
    found: dict[tuple[str, int], set[str]] = defaultdict(set)
    for name, data in entries.items():
        found[data["device"], data["seq"]].add(name)
    return found


def check_signature(name: str, seal: Data) -> Finding:
    """The seal is signed by the key it names; compare that key with the one you were given."""
    body = dict(seal["body"])
    try:
        signature, key = unpack(body.pop("signature")), unpack(body["key"])
        signed = {"job": seal["job"], "shift": seal["shift"], "seal": body}
        text = json.dumps(signed, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        r, s = int.from_bytes(signature[:32]), int.from_bytes(signature[32:])
        public = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), key)
        public.verify(utils.encode_dss_signature(r, s), text.encode(), ec.ECDSA(SHA256()))
    except (InvalidSignature, ValueError, KeyError, TypeError, RecursionError):
        return False, "A seal's signature does not hold."
    return True, f"The seal of {body.get('at')}, digest {name}, is signed by key {key_words(seal)}."


def check_list(
    entries: Mapping[str, Data], seals: Mapping[str, Data], listed: bytes
) -> Iterator[Finding]:
    """The list is that of the latest seal, all on it is here, and what is not on it is told."""
    if not seals:
        yield False, "No seal here covers this list of entries: the shift is not sealed."
        return
    if len({key_words(seal) for seal in seals.values()}) > 1:
        yield False, "There are seals by different keys: at most one can be the one you were given."
    replaced = [seal["body"].get("before") for seal in seals.values()]
    latest = max((moment(seal), name) for name, seal in seals.items() if name not in replaced)
    body, by = seals[latest[1]]["body"], key_words(seals[latest[1]])
    if digest(listed) != body.get("list"):
        yield False, f"The list here is not the one of the latest seal, by key {by}."
        return
    yield True, f"The list here is the one of the latest seal, by key {by}."
    rows = [line.split() for line in listed.decode(errors="replace").splitlines()]
    sealed = {tuple(row) for row in rows}
    here = {n: d for n, d in entries.items() if (d["device"], str(d["seq"]), n) in sealed}
    if len(here) == len(rows):
        yield True, f"All {len(here)} entries under the seal are here."
    else:
        yield False, f"{len(rows) - len(here)} entries under the seal are missing."
    if len(rows) != body.get("count") or not all(in_runs(body, d) for d in here.values()):
        yield False, "The list does not fit the count or the runs that the seal names."
    if later := {n for n, d in entries.items() if n not in here and d["kind"] != "seal"}:
        forks = [names for names in numbered(entries).values() if len(names) > 1 and names & later]
        twice = f" {len(forks)} of their numbers are used twice." if forks else ""
        told = "are here but not under the seal; nothing shows when they were written."
        yield True, f"{len(later)} entries {told}{twice}"


def moment(seal: Data) -> float:
    """When a seal says it was made, to find the latest."""
    try:
        return datetime.fromisoformat(seal["body"]["at"]).timestamp()
    except (KeyError, TypeError, ValueError, OverflowError):
        return float("-inf")


def in_runs(body: Data, data: Data) -> bool:
    """Whether an entry's number lies within a run of its device that the seal names."""
    try:
        return any(a <= data["seq"] <= b for a, b, _ in body["heads"][data["device"]])
    except (KeyError, TypeError, ValueError):
        return False


def check_attachments(entries: Mapping[str, Data], files: Mapping[str, bytes]) -> Iterator[Finding]:
    """Each attachment is its original; in a bundle, all that entries name are here."""
    here = set()
    for name, original in sorted(files.items()):
        if name.startswith("attachments/"):
            stem = name.rsplit("/", 1)[-1].split(".")[0]
            good = digest(original) == stem
            here.add(stem)
            yield good, f"{name} {'is' if good else 'is not'} the original it is named after."
    named = {str(d["body"]["file"]) for d in entries.values() if d["body"].get("file")}
    gone = len(named - here)
    if gone and (here or "missing.txt" in files):
        yield False, f"{gone} attachments are named but not here."
    elif gone:
        yield True, f"{gone} attachments are named, and travel apart from this: ask for them."


def key_words(seal: Data) -> str:
    """The key that a seal names, in short: what to compare with the key you were given."""
    try:
        key = digest(unpack(seal["body"]["key"]))
    except (KeyError, TypeError, ValueError):
        return "unreadable"
    return " ".join(key[at : at + 4] for at in range(0, 16, 4))


def digest(raw: bytes) -> str:
    """SHA-256 in hexadecimal digits."""
    return hashlib.sha256(raw).hexdigest()


def unpack(text: str) -> bytes:
    """Bytes from unpadded base64url."""
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def read_files(path: Path) -> dict[str, bytes]:
    """The files of a folder or a zip file, by name."""
    if path.is_dir():
        found = (p for p in path.rglob("*") if p.is_file())
        return {p.relative_to(path).as_posix(): p.read_bytes() for p in found}
    with zipfile.ZipFile(path) as bundle:
        return {name: bundle.read(name) for name in bundle.namelist()}


def main(*given: str) -> int:
    """Print every finding of a folder or a zip file."""
    if len(given) != 1:
        print("Name one folder or zip file: python verifier.py FOLDER-OR-ZIP")
        return 2
    try:
        files = read_files(Path(given[0]))
    except (OSError, *DAMAGED) as error:
        print(f"{given[0]} can't be read as a folder or a zip file: {error}.")
        return 2
    findings = list(check(files))
    for proven, sentence in findings:
        print("proven    " if proven else "NOT PROVEN", sentence)
    good = all(proven for proven, _ in findings)
    print(LIMITS if good else NOT_PROVEN)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
