"""Signatures under certificates, reviews, lifts and refusals: whose they are and when they count. Saves nothing."""

from dataclasses import dataclass
from datetime import datetime

from common.errors import Invalid, NotAllowed
from defects.rules.timing import SKEW_TOLERATED
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models import Person, Signature
from fleet.services.signatures import sign

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


def instant_of(signing: Signing, now: datetime) -> datetime:
    """When it was signed. A clock that is a little ahead is put right; Invalid `signed_in_future` for any other."""
    if signing.signed_at > now + SKEW_TOLERATED:
        raise Invalid("signed_in_future", pointer="/signature/signed_at")
    return min(signing.signed_at, now)


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
