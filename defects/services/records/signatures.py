"""Signatures under certificates, reviews, lifts and refusals: whose they are and when they count."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from common.clock import refuse_early
from common.errors import Invalid, NotAllowed
from defects.models import SentBody
from defects.rules.walkarounds.timing import LONGEST_ON_THE_WAY, SKEW_TOLERATED
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models import Person, Signature
from fleet.services.people.signatures import sign

BY_HAND = (SignatureMethod.DRAWN, SignatureMethod.PAPER)
"""How somebody signs who has no sign-in."""


@dataclass(frozen=True)
class Signing:
    """A signature as given: `shown` are the words above it, `signed_at` the device's instant with its offset."""

    signer: Person
    method: SignatureMethod
    signed_at: datetime
    shown: str
    device: str = ""


@dataclass(frozen=True)
class AsSent:
    """What was signed in the field: the hash of its body and, where it was read otherwise, its whole text and flags."""

    body_hash: str = ""
    text: str = ""
    flags: tuple[Mapping[str, object], ...] = ()

    @property
    def signed(self) -> dict[str, object]:
        """What the signature is over besides what was read."""
        return {"body": self.body_hash} if self.body_hash else {}

    @property
    def history(self) -> dict[str, object]:
        return {"flags": [dict(flag) for flag in self.flags]} if self.flags else {}

    def keep(self, name: UUID, now: datetime) -> None:
        """Keep the text under the name that the phone gave."""
        if self.text:
            SentBody.objects.create(id=name, text=self.text, received_at=now)


AS_MEANT = AsSent()


def as_of_receipt(signing: Signing, now: datetime) -> tuple[Signing, list[str]]:
    """The signature as it counts, and what is flagged: a clock that tells nothing is replaced by the receipt."""
    ago = now - signing.signed_at
    if ago < -SKEW_TOLERATED:
        return replace(signing, signed_at=now), ["clock_ahead"]
    if ago > LONGEST_ON_THE_WAY:
        return replace(signing, signed_at=now), ["clock_behind"]
    return signing, []


def instant_of(signing: Signing, now: datetime, *, since: datetime | None = None) -> datetime:
    """When it was signed. A clock that is a little ahead or behind is put right, by now and by `since`.

    `since` is when what is signed came about. Invalid `signed_in_future`, `instant_too_early` for any other clock.
    """
    if signing.signed_at > now + SKEW_TOLERATED:
        raise Invalid("signed_in_future", pointer="/signature/signed_at")
    instant = min(signing.signed_at, now)
    if since is None:
        return instant
    refuse_early(instant, since - SKEW_TOLERATED, "/signature/signed_at")
    return max(instant, since)


def refuse_another(signing: Signing, actor: Person) -> None:
    """NotAllowed `sign_yourself` for what only the person who sends it may sign."""
    if signing.signer.pk != actor.pk:
        raise NotAllowed("sign_yourself")


def signature_of(
    signing: Signing, *, purpose: SignaturePurpose, content: object, actor: Person, now: datetime
) -> Signature:
    """The unsaved signature over `content`."""
    offset = signing.signed_at.utcoffset()
    return sign(
        purpose=purpose,
        signer=signing.signer,
        token_owner=actor,
        shown=signing.shown,
        content=content,
        method=signing.method,
        device=signing.device,
        signed_at=signing.signed_at,
        offset_minutes=0 if offset is None else int(offset.total_seconds() // 60),
        now=now,
    )
