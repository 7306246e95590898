"""Checks a Matbook bundle without Matbook: python verifier.py FOLDER-OR-ZIP

Needs Python 3.11 or later and the package `cryptography`. Ends with 0 if everything that is
said to be proven is proven, with 1 otherwise.
"""

import base64
import hashlib
import json
import sys
import zipfile
from collections.abc import Iterator, Mapping
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


def check(files: Mapping[str, bytes]) -> Iterator[Finding]:
    """Everything the files of a bundle prove, point by point."""
    entries, bad = read_entries(files.get("entries.jsonl", b""))
    yield (
        bool(entries) and not bad,
        (
            f"{len(entries)} entries are here, each with the text its hash was made from."
            if entries and not bad
            else f"{len(entries)} entries can be read; {bad} have been changed or can't be read."
        ),
    )
    yield from check_chains(entries)
    listed = files.get("sealed.txt", b"")
    seals = [name for name, data in entries.items() if data["kind"] == "seal"]
    own = [name for name in seals if digest(listed) == entries[name]["body"].get("list")]
    yield from (check_signature(name, entries[name]) for name in seals)
    if not own:
        yield False, "No seal here covers this list of entries: the shift is not sealed."
    else:
        yield from check_list(entries, listed, files.get("withheld.txt", b""))
    for name, original in sorted(files.items()):
        if name.startswith("attachments/"):
            good = digest(original) == name.rsplit("/", 1)[-1].split(".")[0]
            yield good, f"{name} {'is' if good else 'is not'} the original it is named after."


def read_entries(lines: bytes) -> tuple[dict[str, dict[str, Any]], int]:
    """Opened entries by hash, and how many lines are not what they should be."""
    entries, bad = {}, 0
    for line in lines.splitlines():
        try:
            pair = json.loads(line)
            data = json.loads(pair["text"])
            names = ("device", "prev", "kind", "written")
            shaped = all(isinstance(data[name], str) for name in names)
            shaped = shaped and isinstance(data["body"], dict) and isinstance(data["seq"], int)
            good = shaped and digest(pair["text"].encode()) == pair["hash"]
        except (ValueError, KeyError, TypeError, RecursionError):
            good = False
        if good:
            entries[pair["hash"]] = data
        else:
            bad += 1
    return entries, bad


def check_chains(entries: Mapping[str, Mapping[str, Any]]) -> Iterator[Finding]:
    """Each entry names the hash of the one before it on its device."""
    here = {(data["device"], data["seq"]) for data in entries.values()}
    broken = [
        data
        for data in entries.values()
        if (data["device"], data["seq"] - 1) in here and data["prev"] not in entries
    ]
    devices = len({data["device"] for data in entries.values()})
    yield (
        not broken,
        (
            f"The chains of {devices} devices fit together."
            if not broken
            else f"{len(broken)} entries do not follow the entry before them on their device."
        ),
    )


def check_signature(name: str, seal: Mapping[str, Any]) -> Finding:
    """The seal is signed by the key it names; compare that key with the one you were given."""
    body = dict(seal["body"])
    try:
        signature, key = unpack(body.pop("signature")), unpack(body["key"])
        signed = {"job": seal["job"], "shift": seal.get("shift", ""), "seal": body}
        text = json.dumps(signed, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        r, s = int.from_bytes(signature[:32]), int.from_bytes(signature[32:])
        public = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), key)
        public.verify(utils.encode_dss_signature(r, s), text.encode(), ec.ECDSA(SHA256()))
    except (InvalidSignature, ValueError, KeyError, TypeError):
        return False, "A seal's signature does not hold."
    words = " ".join(digest(key)[at : at + 4] for at in range(0, 16, 4))
    return (
        True,
        f"The seal of {body.get('at', 'no time')}, digest {name}, is signed by key {words}.",
    )


def check_list(
    entries: Mapping[str, Mapping[str, Any]], listed: bytes, withheld: bytes
) -> Iterator[Finding]:
    """The seal's list against what is here."""
    lines = listed.decode(errors="replace").splitlines()
    sealed = {part for line in lines for part in line.split()[2:3]}
    kept_back = set(withheld.decode(errors="replace").split())
    gone = sealed - set(entries) - kept_back
    yield (
        not gone,
        (
            f"All {len(sealed)} entries under the seal are here"
            + (f", {len(sealed & kept_back)} of them by their hash alone." if kept_back else ".")
            if not gone
            else f"{len(gone)} entries under the seal are missing."
        ),
    )
    later = [d for name, d in entries.items() if name not in sealed and d["kind"] != "seal"]
    if later:
        yield True, f"{len(later)} entries came after the seal, and are not under it."


def digest(raw: bytes) -> str:
    """SHA-256 in hexadecimal digits."""
    return hashlib.sha256(raw).hexdigest()


def unpack(text: str) -> bytes:
    """Bytes from unpadded base64url."""
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def main(where: str) -> int:
    """Print every finding of a folder or a zip file."""
    path = Path(where)
    if not path.is_dir() and not zipfile.is_zipfile(path):
        print(
            f"{path} is neither a folder nor a zip file; save a record's attachments in a folder."
        )
        return 2
    if path.is_dir():
        names = (p for p in path.rglob("*") if p.is_file())
        files = {p.relative_to(path).as_posix(): p.read_bytes() for p in names}
    else:
        with zipfile.ZipFile(path) as bundle:
            files = {name: bundle.read(name) for name in bundle.namelist()}
    findings = list(check(files))
    for proven, sentence in findings:
        print("proven    " if proven else "NOT PROVEN", sentence)
    good = all(proven for proven, _ in findings)
    print(LIMITS if good else NOT_PROVEN)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
