"""Pairing codes and tokens: made here, kept only as hashes.

A code has ten characters that can't be mistaken for each other: two that say which pairing is
meant, and eight (40 bits) that prove it. Whoever guesses has five tries, ten minutes, and is
slowed down; the hash is keyed by the installation's own key, so a copy of the store gives nothing.
"""

import hashlib
import hmac
import io
import secrets
from typing import Final

from matbook.seal.keys import InstallationKey, pack, point

LETTERS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Without I, L, O and U; the first three are read as the digits they look like."""
NAME: Final = 2
SECRET: Final = 8
MINUTES: Final = 10


def new_code() -> str:
    """A new code: its name, then its secret."""
    return "".join(secrets.choice(LETTERS) for _ in range(NAME + SECRET))


def shown(code: str) -> str:
    """A code as people read it.

    Example:
        >>> shown("7K3MWX9QT2")
        '7K-3MWX-9QT2'
    """
    return f"{code[:2]}-{code[2:6]}-{code[6:]}"


def read_code(text: str) -> tuple[str, str] | None:
    """Name and secret of a code as somebody typed it; None if it can't be one.

    Example:
        >>> read_code("7k 3mwx-9qt2"), read_code("7K3MWX9QTO"), read_code("no")
        (('7K', '3MWX9QT2'), ('7K', '3MWX9QT0'), None)
    """
    plain = text.upper().replace("-", "").replace(" ", "")
    plain = plain.translate(str.maketrans("ILO", "110"))
    if len(plain) != NAME + SECRET or set(plain) - set(LETTERS):
        return None
    return plain[:NAME], plain[NAME:]


def proof_of(key: InstallationKey, name: str, secret: str) -> bytes:
    """What is kept of a code."""
    own = hashlib.sha256(b"matbook pairing\n" + key.pem()).digest()
    return hmac.digest(own, f"{name}{secret}".encode(), "sha256")


def new_token() -> str:
    """A new token: 256 random bits, in letters that fit into a header."""
    return secrets.token_urlsafe(32)


def public_key(jwk: dict[str, str] | None) -> str:
    """A device's public key as `seal.keys` writes it; raises ValueError if it is none on P-256."""
    from cryptography.hazmat.primitives.asymmetric import ec

    from matbook.seal.keys import unpack

    if jwk is None:
        return ""
    x, y = (int.from_bytes(unpack(jwk[name])) for name in ("x", "y"))
    return pack(point(ec.EllipticCurvePublicNumbers(x, y, ec.SECP256R1()).public_key()))


def qr_svg(text: str) -> str:
    """A QR code as a picture for a page."""
    import segno

    out = io.BytesIO()
    segno.make(text, error="m").save(
        out, kind="svg", scale=6, border=4, xmldecl=False, light="#ffffff"
    )
    return out.getvalue().decode()


def qr_terminal(text: str) -> str:
    """A QR code for a terminal, as characters of half a line's height."""
    import segno

    out = io.StringIO()
    segno.make(text, error="m").terminal(out, compact=True, border=2)
    return out.getvalue()
