"""Signatures (390.32): one row that says who signed what, having been shown what, how, on which device and when."""

from datetime import datetime

from common.canonical import canonical_json, sha256_hex
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models import Person, Signature


def sign(
    *,
    purpose: SignaturePurpose,
    signer: Person,
    token_owner: Person,
    shown: str,
    content: object,
    method: SignatureMethod,
    device: str,
    signed_at: datetime,
    offset_minutes: int,
    now: datetime,
) -> Signature:
    """An unsaved signature over `content` (hashed in canonical form); the caller saves it with what it stands under.

    `shown` are the words before the signer's eyes, `signed_at` the device's own instant with its UTC offset in
    minutes, `now` when it reached us. TypeError or ValueError for content that has no canonical form.
    """
    return Signature(
        purpose=purpose,
        signer=signer,
        token_owner=token_owner,
        shown=shown,
        content_hash=sha256_hex(canonical_json(content)),
        method=method,
        device=device,
        signed_at=signed_at,
        offset_minutes=offset_minutes,
        received_at=now,
    )
