"""What a store keeps of the devices of a crew: who holds them, and what they signed.

Nothing here is a secret by itself: of a token its SHA-256 is kept, of a pairing code a keyed hash.
"""

import hmac
from typing import Final, NamedTuple, Protocol

TRIES: Final = 5
"""Wrong codes that one pairing bears; then it is spent."""


class Device(NamedTuple):
    """A device that was paired: in whose hand, in which role, and by what it is known."""

    job: str
    device: str
    person: str
    role: str
    key: str
    """Its public key, as `seal.keys` writes it; empty where it brought none."""
    token: bytes
    """SHA-256 of the token that it shows."""
    paired: str
    revoked: str = ""
    """When it was turned away; empty while it is welcome."""


class Pairing(NamedTuple):
    """An invitation: whoever shows its code before it ends becomes this person's device."""

    job: str
    name: str
    """The part of the code that says which pairing is meant."""
    proof: bytes
    """A keyed hash of the rest of the code."""
    person: str
    role: str
    expires: int
    """In seconds since 1970."""
    tries: int = 0

    def open_at(self, now: int) -> bool:
        """Whether a code may still be tried on it."""
        return now < self.expires and self.tries < TRIES

    def proves(self, proof: bytes) -> bool:
        """Whether this is the right code, told in the same time whatever was given."""
        return hmac.compare_digest(self.proof, proof)


class SignedHead(NamedTuple):
    """The end of a device's chain, signed by the device: nothing before it can be taken out."""

    job: str
    device: str
    seq: int
    hash: str
    at: str
    key: str
    signature: str
    received: str


class Accounts(Protocol):
    """The devices of a crew."""

    def invite(self, pairing: Pairing, now: int) -> bool:
        """Keep a pairing, and drop those that ended; False if its name is in use."""
        ...

    def redeem(self, name: str, proof: bytes, now: int, device: Device) -> Device | None:
        """Use up the pairing of that name for a device, in one transaction; a wrong proof counts.

        Args:
            name: The name of the pairing.
            proof: The keyed hash of the code that was shown.
            now: In seconds since 1970.
            device: The device as it is known so far; job, person and role come from the pairing.

        Returns:
            The device as it was kept; None if there is no such pairing, it has ended or is spent,
            the proof is wrong, or the device is in another person's hand.
        """
        ...

    def device_of(self, token: bytes) -> Device | None:
        """The device that shows the token with this SHA-256, if it is welcome."""
        ...

    def devices(self, job: str | None = None) -> list[Device]:
        """Every device that was paired, of one job or all, those turned away too."""
        ...

    def revoke(self, job: str, device: str, at: str) -> bool:
        """Turn a device away; False if it isn't there, or was turned away before."""
        ...

    def keep_head(self, head: SignedHead) -> None:
        """Keep a signed head, once; the first signature of a head stays."""
        ...

    def signed_heads(self, job: str) -> list[SignedHead]:
        """A job's signed heads, by device and number."""
        ...
