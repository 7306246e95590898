"""One entry: its text, its hash, and the envelope that every entry shares.

An entry travels and is stored as the pair (hash, text). The hash is SHA-256 over exactly that
text; the text does not hold its own hash and is never written again. The text is JSON in the
form of RFC 8785: sorted ASCII keys, strings and integers below 2^53, no floats, so that plain
serialisers in any language write it alike.
"""

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any, Final, NoReturn

from matbook.errors import EntryRefused

LARGEST_TEXT: Final = 256 * 1024
"""Bytes of UTF-8 that one entry may have; photos and scans are attachments, not text."""

DEEPEST: Final = 8
FIRST: Final = ""
"""`prev` of the first entry a device ever wrote."""

_WHOLE: Final = 2**53
_NEED: Final = ("at", "by", "device", "id", "job", "kind", "prev", "written")
_TEXTS: Final = ("instrument", "shift", "strikes", "why")
_MAPS: Final = ("body", "place", "saw")
_EMPTY: Final[Mapping[str, Any]] = {}
_HOUR = r"(?:[01]\d|2[0-3]):[0-5]\d"
_MOMENT = re.compile(rf"\d{{4}}-\d\d-\d\dT{_HOUR}:\d\d(?:\.\d{{1,6}})?[+-]{_HOUR}", re.ASCII)
_SHIFT = re.compile(r"[a-z0-9][a-z0-9-]{0,63}/\d{4}-\d\d-\d\d/[a-z0-9-]{1,20}/(day|night)")
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,63}")
_HASH = re.compile(r"[0-9a-f]{64}")
_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_LINES = (_MOMENT, _MOMENT, _ID, _NAME, _NAME, _NAME, re.compile(f"(?:{_HASH.pattern})?"))
_SOUND = re.compile("\n".join(line.pattern for line in _LINES), re.ASCII)
"""at, written, id, job, kind, device and prev, a line each."""

_dump = json.JSONEncoder(
    ensure_ascii=False,
    sort_keys=True,
    separators=(",", ":"),
    allow_nan=False,
    check_circular=False,  # `_plain` has been through it, and found it shallow
).encode


def canonical(value: Mapping[str, Any]) -> str:
    """The one text of a value: sorted keys, no spaces, no floats.

    Example:
        >>> canonical({"net": "22.40 t", "by": "ana"})
        '{"by":"ana","net":"22.40 t"}'
    """
    _plain(value, 0)
    return _dump(value)


def hash_of(text: str) -> str:
    """SHA-256 over exactly this text, as UTF-8, in lower-case hexadecimal digits."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def moment(text: str) -> datetime:
    """A moment with its offset, such as 2026-05-12T09:41:00-04:00; raises EntryRefused."""
    if _MOMENT.fullmatch(text):
        try:
            return datetime.fromisoformat(text)
        except ValueError:
            pass
    raise EntryRefused(
        f"A time is “{text[:40]}”; it must be a date and time with its offset, "
        "such as 2026-05-12T09:41:00-04:00."
    )


@dataclass(frozen=True)
class Entry:
    """An entry as it was written, with its envelope opened; `body` may still be in quarantine."""

    hash: str
    text: str
    data: Mapping[str, Any]

    # The envelope, by name. `.get` where the field may be missing.

    @cached_property
    def id(self) -> str:
        return str(self.data["id"])

    @cached_property
    def job(self) -> str:
        return str(self.data["job"])

    @cached_property
    def shift(self) -> str:
        """Job, working date, crew, day or night; empty on entries of the whole job."""
        return str(self.data.get("shift", ""))

    @cached_property
    def kind(self) -> str:
        return str(self.data["kind"])

    @cached_property
    def v(self) -> int:
        return int(self.data["v"])

    @cached_property
    def by(self) -> str:
        return str(self.data["by"])

    @cached_property
    def device(self) -> str:
        return str(self.data["device"])

    @cached_property
    def seq(self) -> int:
        return int(self.data["seq"])

    @cached_property
    def prev(self) -> str:
        return str(self.data["prev"])

    @cached_property
    def place(self) -> Mapping[str, Any]:
        place: Mapping[str, Any] = self.data.get("place", {})
        return place

    @cached_property
    def instrument(self) -> str:
        return str(self.data.get("instrument", ""))

    @cached_property
    def body(self) -> Mapping[str, Any]:
        body: Mapping[str, Any] = self.data.get("body", {})
        return body

    @cached_property
    def strikes(self) -> str:
        return str(self.data.get("strikes", ""))

    @cached_property
    def why(self) -> str:
        return str(self.data.get("why", ""))

    @cached_property
    def at(self) -> datetime:
        """When it happened, as the person says."""
        return datetime.fromisoformat(self.data["at"])

    @cached_property
    def written(self) -> datetime:
        """When it was written, by the device's clock."""
        return datetime.fromisoformat(self.data["written"])

    @cached_property
    def order(self) -> tuple[float, float, str, int, str]:
        """The reading order; the hash only parts the branches of a fork."""
        return (self.at.timestamp(), self.written.timestamp(), self.device, self.seq, self.hash)


def read_entry(text: str, expected_hash: str | None = None) -> Entry:
    """Open an entry's text, checking everything an intact envelope needs.

    Args:
        text: The text exactly as it was written.
        expected_hash: The hash it travelled with; None to work it out.

    Raises:
        EntryRefused: A sentence saying what is wrong with the text, the hash or the envelope.
            A bad or unknown body is no reason to refuse: that is found on reading.
    """
    return Entry(checked_hash(text, expected_hash), text, envelope(text))


def written_entry(data: dict[str, Any]) -> Entry:
    """The entry of a new envelope, written for the first time; raises EntryRefused."""
    text = canonical(data)
    _fields(data)
    return Entry(checked_hash(text), text, data)


def checked_hash(text: str, expected_hash: str | None = None) -> str:
    """The hash of a text, refusing one that is too long or not the text it is said to be."""
    try:
        raw = text.encode("utf-8")
    except UnicodeEncodeError:
        raise EntryRefused("The entry holds half a character (a lone surrogate).") from None
    if len(raw) > LARGEST_TEXT:
        raise EntryRefused(
            f"The entry has {len(raw)} bytes; at most {LARGEST_TEXT} are allowed. "
            "Photos and scans go in as attachments."
        )
    found = hashlib.sha256(raw).hexdigest()
    if expected_hash is not None and found != expected_hash:
        raise EntryRefused(
            f"The entry's text has hash {found[:12]}… but came as {expected_hash[:12]}…: "
            "it was changed after it was written."
        )
    return found


def envelope(text: str) -> dict[str, Any]:
    """The opened text of an entry; raises EntryRefused unless the envelope is intact."""
    try:
        data, _ = _load(text)  # whatever follows isn't in the one form
    except (ValueError, RecursionError) as error:
        raise EntryRefused(f"The entry is not the JSON it should be: {_short(error)}.") from None
    if not isinstance(data, dict):
        raise EntryRefused("The entry is not a JSON object.")
    _plain(data, 0)
    if _dump(data) != text:
        raise EntryRefused(
            "The entry's text isn't in its one form (sorted keys, no spaces, no repeated keys)."
        )
    if not _sound(data):
        _fields(data)
    return data


def _sound(data: Mapping[str, Any]) -> bool:
    """Whether the fields are plainly right: `_fields` at a quarter of its time, without a word.

    A million entries come in at once; what isn't plainly right is judged by `_fields`.
    """
    get = data.get
    try:
        at, written, seq, prev = data["at"], data["written"], data["seq"], data["prev"]
        lines = (at, written, data["id"], data["job"], data["kind"], data["device"], prev)
        "".join((data["by"], get("instrument", ""), get("shift", "")))
        "".join((get("strikes", ""), get("why", "")))
        maps = (get("body", _EMPTY), get("place", _EMPTY), get("saw", _EMPTY))
        return bool(
            _SOUND.fullmatch("\n".join(lines))
            and (seq == 1) == (prev == FIRST)
            and seq >= 1 <= data["v"]
            and type(maps[0]) is type(maps[1]) is type(maps[2]) is dict
            and datetime.fromisoformat(at)
            and datetime.fromisoformat(written)
        )
    except (KeyError, TypeError, ValueError):
        return False


def _fields(data: Mapping[str, Any]) -> None:
    for name in _NEED:
        if not isinstance(data.get(name), str):
            raise EntryRefused(f"The entry's “{name}” is missing or isn't text.")
    for name in ("seq", "v"):
        value = data.get(name)
        if not isinstance(value, int) or value < 1:
            raise EntryRefused(f"The entry's “{name}” must be a whole number from 1.")
    for name in _TEXTS:
        if not isinstance(data.get(name, ""), str):
            raise EntryRefused(f"The entry's “{name}” isn't text.")
    for name in _MAPS:
        if not isinstance(data.get(name, {}), dict):
            raise EntryRefused(f"The entry's “{name}” isn't an object.")
    for name in ("job", "kind", "device"):
        if not _NAME.fullmatch(data[name]):
            raise EntryRefused(
                f"The entry's “{name}” is “{data[name][:70]}”; it must be lower-case letters, "
                "digits and hyphens, at most 64."
            )
    shift = data.get("shift", "")
    if shift and not (_SHIFT.fullmatch(shift) and shift.startswith(f"{data['job']}/")):
        raise EntryRefused(
            f"The entry's “shift” is “{shift[:80]}”; it must be its job, the working date, "
            "the crew, and day or night, such as harrow/2026-05-12/a/day."
        )
    if not _ID.fullmatch(data["id"]):
        raise EntryRefused(
            f"The entry's “id” is “{data['id'][:40]}”; it must be a UUID, version 7."
        )
    if data["prev"] != FIRST and not _HASH.fullmatch(data["prev"]):
        raise EntryRefused("The entry's “prev” must be the hash of the entry before, or empty.")
    if (data["seq"] == 1) != (data["prev"] == FIRST):
        raise EntryRefused("Only a device's first entry (seq 1) has no entry before it.")
    moment(data["at"])
    moment(data["written"])


def _plain(value: object, depth: int) -> None:
    """Refuse what plain serialisers write differently, and what is nested too deep."""
    if depth > DEEPEST:
        raise EntryRefused(f"The entry is nested more than {DEEPEST} deep.")
    kind = type(value)
    if kind is str:
        return
    if kind is int:
        if not -_WHOLE < value < _WHOLE:  # type: ignore[operator]
            raise EntryRefused(f"The entry holds {value}; whole numbers must be below 2^53.")
    elif kind is dict:
        for key, item in value.items():  # type: ignore[attr-defined]
            if type(key) is not str or not key.isascii():
                raise EntryRefused(f"The entry has a key “{key}”; keys must be ASCII.")
            if type(item) is not str:
                _plain(item, depth + 1)
    elif kind is list:
        for item in value:  # type: ignore[attr-defined]
            _plain(item, depth + 1)
    else:
        raise EntryRefused(
            f"The entry holds {value!r}; only text, whole numbers, lists and objects are allowed "
            "(a measured value is decimal text with its unit)."
        )


def _no_float(digits: str) -> NoReturn:
    raise ValueError(f"{digits} is a fraction; measured values are text with their unit")


_load = json.JSONDecoder(parse_float=_no_float, parse_constant=_no_float).raw_decode


def _short(error: BaseException) -> str:
    return str(error)[:120] or type(error).__name__
