"""The signature in a file is written in one way, and any other way is seen."""

from datetime import UTC, datetime, timedelta, timezone
from random import Random

import pytest

from matbook.errors import NotProven
from matbook.seal import cms
from matbook.seal.keys import InstallationKey

KEY = InstallationKey.create()
CERTIFICATE = KEY.certificate("Matbook installation", "Merrow County (invented)")
DIGEST = bytes(range(32))
WHEN = datetime(2026, 6, 3, 19, 42, 7, 123, tzinfo=timezone(timedelta(hours=-3)))
SIGNATURE = cms.signed(KEY, CERTIFICATE, DIGEST, WHEN)
WRITTEN = SIGNATURE.written(DIGEST)


def proves(written: bytes) -> bool:
    """Whether this, as it stands, is a signature over the digest."""
    try:
        found = cms.opened(written)
    except NotProven:
        return False
    return found.proves(written, DIGEST)


def test_a_signature_is_read_as_it_was_written() -> None:
    assert proves(WRITTEN)
    assert cms.opened(WRITTEN) == SIGNATURE
    assert SIGNATURE.fingerprint == KEY.fingerprint
    assert SIGNATURE.when == datetime(2026, 6, 3, 22, 42, 7, tzinfo=UTC)


def test_it_holds_over_one_file_only() -> None:
    assert SIGNATURE.holds(DIGEST)
    assert not SIGNATURE.holds(bytes(32))


def test_the_same_is_signed_alike() -> None:
    assert cms.signed(KEY, CERTIFICATE, DIGEST, WHEN) == SIGNATURE


@pytest.mark.parametrize("year", [1949, 1950, 2049, 2050, 9999])
def test_any_year_can_be_written(year: int) -> None:
    """RFC 5652 (2009), 11.3: two-digit years from 1950 to 2049, four-digit years otherwise."""
    signature = cms.signed(KEY, CERTIFICATE, DIGEST, datetime(year, 6, 3, tzinfo=UTC))
    assert cms.opened(signature.written(DIGEST)) == signature


def test_any_changed_byte_shows() -> None:
    dice = Random(20260603)
    for at in sorted(dice.sample(range(len(WRITTEN)), len(WRITTEN) // 4)):
        other = dice.choice([byte for byte in range(256) if byte != WRITTEN[at]])
        assert not proves(WRITTEN[:at] + bytes([other]) + WRITTEN[at + 1 :]), at


@pytest.mark.long
def test_many_bytes_in_any_place_show() -> None:
    for at in range(len(WRITTEN)):  # each of them
        for other in range(0, 256, 37):
            changed = WRITTEN[:at] + bytes([other]) + WRITTEN[at + 1 :]
            assert changed == WRITTEN or not proves(changed), (at, other)


def test_a_part_or_something_more_proves_nothing() -> None:
    for written in (b"", WRITTEN[:-1], WRITTEN[:100], WRITTEN + b"\1", b"0" * 400, b"\0" * 400):
        assert not proves(written)


def test_room_left_over_is_empty() -> None:
    assert proves(WRITTEN + bytes(9))
    assert not proves(WRITTEN + bytes(8) + b"\1")


def test_a_certificate_of_another_kind_is_refused() -> None:
    curve, other = bytes.fromhex("2a8648ce3d030107"), bytes.fromhex("2a8648ce3d030106")
    assert CERTIFICATE.count(curve) == 1
    with pytest.raises(NotProven, match="can't be read"):
        cms.opened(WRITTEN.replace(curve, other))


def test_somebody_else_s_certificate_does_not_fit() -> None:
    other = InstallationKey.create().certificate("Matbook installation")
    swapped = cms.Signature(other, SIGNATURE.when, SIGNATURE.raw)
    assert not swapped.holds(DIGEST)
