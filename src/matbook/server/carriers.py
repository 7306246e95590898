"""What carries a notice out of the house: a mail server, an SMS gateway, a webhook.

Standard library alone, because what happened has to be told apart exactly: taken, refused for
good, or to be tried again (docs/decisions/0009). Nothing here logs, and no reason that is kept
holds an address, a secret or the other side's words: only the number that it answered with.
"""

import http.client
import json
import smtplib
import ssl
import urllib.error
import urllib.request
from collections.abc import Callable, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, field
from email.message import EmailMessage
from email.policy import SMTP
from typing import Any, Final, Protocol

PATIENCE_S: Final = 15.0
"""How long the other side may take over each step [s]."""
TRY_AGAIN: Final = frozenset({408, 425, 429, 500, 502, 503, 504})
"""Answers over HTTP that may be another one later (RFC 9110, RFC 6585, RFC 8470)."""


class NotTaken(Exception):
    """It did not go out."""

    def __init__(self, why: str, said: int | str = "", *, for_good: bool = False) -> None:
        """Say why.

        Args:
            why: The end of the reason's code in `words` (sending.why.…).
            said: The number that the other side answered with.
            for_good: Whether trying again would change nothing.
        """
        super().__init__(why)
        self.why = why
        self.said = str(said)
        self.for_good = for_good


@dataclass(frozen=True)
class Letter:
    """A notice as it goes out to one person."""

    id: str
    """Stays the same at every try, so that the other side can know it again."""
    to: str
    """Address or number; empty where the webhook needs none."""
    subject: str
    text: str
    """What was told, and who told it: all that a mail says."""
    short: str
    """The same for a phone."""
    answer_to: str = ""
    data: Mapping[str, Any] = field(default_factory=dict)
    """For programs."""


class Carrier(Protocol):
    """One way out."""

    @property
    def needs(self) -> str:
        """Which of a person's addresses in the plan it needs: mail, phone, or none ("")."""
        ...

    def carry(self, letter: Letter) -> None:
        """Hand it on; raises NotTaken."""
        ...


@dataclass(frozen=True)
class Mail:
    """Over SMTP (RFC 5321), to the mail server that was set."""

    host: str
    port: int
    tls: str
    """smtps: from the start; smtp+starttls: before anything is said; smtp: none, only here."""
    sender: str
    user: str = ""
    password: str = field(default="", repr=False)
    context: Callable[[], ssl.SSLContext] = ssl.create_default_context
    needs = "mail"

    def carry(self, letter: Letter) -> None:
        message = self._message(letter)
        try:
            with closing(self._connected()) as server:
                if self.tls == "smtp+starttls":
                    server.starttls(context=self.context())
                if self.user:
                    server.login(self.user, self.password)
                server.send_message(message, self.sender, [letter.to])
                with suppress(smtplib.SMTPException, OSError):  # it was taken already
                    server.quit()
        except smtplib.SMTPRecipientsRefused as error:
            code = next(iter(error.recipients.values()))[0]
            raise NotTaken("address-refused", code, for_good=code >= 500) from None
        except smtplib.SMTPAuthenticationError as error:
            raise NotTaken("sign-in", error.smtp_code) from None
        except smtplib.SMTPResponseException as error:
            ours = isinstance(error, smtplib.SMTPDataError)  # else it isn't about this notice
            code = error.smtp_code
            raise NotTaken("said-no", code, for_good=ours and code >= 500) from None
        except smtplib.SMTPNotSupportedError:
            raise NotTaken("no-tls") from None
        except (smtplib.SMTPException, OSError) as error:
            raise _unreached(error) from None

    def _message(self, letter: Letter) -> EmailMessage:
        message = EmailMessage(policy=SMTP)
        try:
            message["From"], message["To"] = self.sender, letter.to
            message["Subject"] = letter.subject
            message["Message-ID"] = f"<{letter.id}@{self.sender.rpartition('@')[2]}>"
            message["Auto-Submitted"] = "auto-generated"  # RFC 3834: no holiday note in return
            if letter.answer_to:
                message["Reply-To"] = letter.answer_to
            message.set_content(letter.text)
            letter.to.encode("ascii")
        except (ValueError, IndexError, http.client.HTTPException):
            raise NotTaken("address-unreadable", for_good=True) from None
        return message

    def _connected(self) -> smtplib.SMTP:
        if self.tls == "smtps":
            context = self.context()
            return smtplib.SMTP_SSL(self.host, self.port, timeout=PATIENCE_S, context=context)
        return smtplib.SMTP(self.host, self.port, timeout=PATIENCE_S)


@dataclass(frozen=True)
class Hook:
    """JSON by POST to one address: an SMS gateway, or any program of the agency's own."""

    url: str
    token: str = field(default="", repr=False)
    needs: str = ""

    def carry(self, letter: Letter) -> None:
        data = {"to": letter.to, "text": letter.short} if self.needs else letter.data
        request = urllib.request.Request(
            self.url,
            json.dumps({"id": letter.id, **data}, ensure_ascii=False).encode(),
            {
                "Content-Type": "application/json",
                "Idempotency-Key": letter.id,
                "User-Agent": "Matbook",
                **({"Authorization": f"Bearer {self.token}"} if self.token else {}),
            },
        )
        try:
            with _OPENER.open(request, timeout=PATIENCE_S) as answer:
                code = answer.status
        except urllib.error.HTTPError as error:
            code = error.code
            error.close()
        except (OSError, http.client.HTTPException) as error:
            raise _unreached(error) from None
        if not 200 <= code < 300:
            raise NotTaken("said-no", code, for_good=code not in TRY_AGAIN)


class _Straight(urllib.request.HTTPRedirectHandler):
    """A notice goes where it was set to go, and nowhere that place points to."""

    def redirect_request(self, *_: Any) -> None:
        return None


_OPENER: Final = urllib.request.build_opener(_Straight, urllib.request.ProxyHandler({}))


def _unreached(error: Exception) -> NotTaken:
    reason = getattr(error, "reason", error)
    cause = reason if isinstance(reason, Exception) else error
    if isinstance(cause, ssl.SSLError):
        return NotTaken("certificate")
    return NotTaken("slow" if isinstance(cause, TimeoutError) else "unreached")
