"""How notices leave this server, as its settings say: nothing at all while nothing is set."""

import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final
from urllib.parse import SplitResult, urlsplit

from matbook.errors import Refused
from matbook.server.carriers import Carrier, Hook, Mail
from matbook.words import ENGLISH, languages

CARRIED_BY: Final[Mapping[str, tuple[str, ...]]] = {
    "mail": ("mail",),
    "message": ("sms", "webhook"),
}
"""What carries a notice, by how its writer says that it is told; the first that is set does."""

_PORTS: Final = {"smtps": 465, "smtp+starttls": 587, "smtp": 25}
_HERE: Final = ("localhost", "127.0.0.1", "::1")
_MAIL: Final = re.compile(r"[^\s@<>,;:\"()\[\]\\]{1,64}@[A-Za-z0-9][A-Za-z0-9.-]{0,250}")
_PHONE: Final = re.compile(r"\+?[0-9]{3,15}")


@dataclass(frozen=True)
class Ways:
    """The ways out that were set, and whom they may be used for."""

    carriers: Mapping[str, Carrier]
    allowed: tuple[str, ...] = ()
    language: str = ENGLISH

    def way(self, how: str) -> str:
        """What carries a notice that is told so; empty if nothing here does."""
        return next((name for name in CARRIED_BY.get(how, ()) if name in self.carriers), "")

    def allows(self, address: str) -> bool:
        """Whether an address or number is on the list.

        Example:
            >>> ways = Ways({}, ("@example.org", "+1555*", "pia@plant.example"))
            >>> [ways.allows(a) for a in ("ana@Example.org", "+15550102", "pia@plant.example")]
            [True, True, True]
            >>> [ways.allows(a) for a in ("ana@example.org.evil", "5550102", "x@plant.example")]
            [False, False, False]
        """
        given = address.casefold()
        return any(
            given.endswith(one)
            if one.startswith("@")
            else given.startswith(one[:-1])
            if one.endswith("*")
            else given == one
            for one in self.allowed
        )


def address(needs: str, written: str) -> str:
    """An address of the plan as a carrier takes it; empty if it can't be one.

    Example:
        >>> address("phone", "+1 (555) 010-2"), address("mail", " ana@example.org ")
        ('+15550102', 'ana@example.org')
        >>> address("phone", "at the office"), address("mail", "ana@a, bo@b")
        ('', '')
    """
    if needs == "phone":
        plain = re.sub(r"[\s().\-/]", "", written)
        return plain if _PHONE.fullmatch(plain) else ""
    plain = written.strip()
    return plain if _MAIL.fullmatch(plain) and plain.isascii() else ""


def ways_from(settings: Mapping[str, str]) -> Ways:
    """The ways out that these settings give.

    Raises:
        Refused: A setting can't be used; a secret is never quoted.
    """
    given = defaultdict(str, {name: text.strip() for name, text in settings.items()})
    carriers: dict[str, Carrier] = {}
    if given["MATBOOK_MAIL_URL"]:
        carriers["mail"] = _mail(given)
    if given["MATBOOK_SMS_URL"]:
        url = _hook("MATBOOK_SMS_URL", given["MATBOOK_SMS_URL"])
        carriers["sms"] = Hook(url, given["MATBOOK_SMS_TOKEN"], "phone")
    if given["MATBOOK_WEBHOOK_URL"]:
        url = _hook("MATBOOK_WEBHOOK_URL", given["MATBOOK_WEBHOOK_URL"])
        carriers["webhook"] = Hook(url, given["MATBOOK_WEBHOOK_TOKEN"])
    allowed = _allowed(given["MATBOOK_SEND_TO"])
    if not allowed and carriers.keys() & {"mail", "sms"}:
        raise Refused("MATBOOK_SEND_TO", "", "it must say whom mail or SMS may go to")
    language = given["MATBOOK_SEND_LANGUAGE"] or ENGLISH
    if language not in languages():
        known = ", ".join(languages())
        raise Refused("MATBOOK_SEND_LANGUAGE", language, f"it must be one of {known}")
    return Ways(carriers, allowed, language)


def _mail(given: Mapping[str, str]) -> Mail:
    name, text = "MATBOOK_MAIL_URL", given["MATBOOK_MAIL_URL"]
    parts, port = _parts(name, text)
    host = parts.hostname or ""
    if parts.scheme not in _PORTS or parts.path.strip("/") or not host:
        raise Refused(
            name,
            text,
            "it must be smtps://host:port, smtp+starttls://host:port or smtp://localhost",
        )
    if parts.scheme == "smtp" and host not in _HERE:
        raise Refused(name, text, "without encryption mail goes to this machine alone")
    sender = address("mail", given["MATBOOK_MAIL_FROM"])
    if not sender:
        raise Refused("MATBOOK_MAIL_FROM", given["MATBOOK_MAIL_FROM"], "it must be a mail address")
    user, password = given["MATBOOK_MAIL_USER"], given["MATBOOK_MAIL_PASSWORD"]
    return Mail(host, port or _PORTS[parts.scheme], parts.scheme, sender, user, password)


def _hook(name: str, text: str) -> str:
    parts, _ = _parts(name, text)
    here = parts.scheme == "http" and parts.hostname in _HERE
    if not parts.hostname or not (parts.scheme == "https" or here):
        raise Refused(
            name, parts.hostname or "", "it must be https://…, or http:// on this machine"
        )
    return text


def _parts(name: str, text: str) -> tuple[SplitResult, int | None]:
    """An address in its parts; one with a secret in it is refused and not quoted."""
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        raise Refused(name, "", "it must be an address with a host and a port") from None
    if parts.username is not None or parts.password is not None:
        raise Refused(name, "", "user and password have settings of their own")
    return parts, port


def _allowed(text: str) -> tuple[str, ...]:
    found = tuple(one.strip().casefold() for one in text.split(",") if one.strip())
    for one in found:
        fits = (
            _MAIL.fullmatch(f"x{one}" if one.startswith("@") else one)
            or _PHONE.fullmatch(one)
            or re.fullmatch(r"\+?[0-9]{1,14}\*", one)
        )
        if not fits:
            raise Refused(
                "MATBOOK_SEND_TO", one, "each must be an address, @domain, a number, or +1555*"
            )
    return found
