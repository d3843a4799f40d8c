"""How to make the row of one person that an operation of defects names."""

from collections.abc import Callable

from common.ids import uuid7
from defects.models import CatalogueVersion, DriverReview, Refusal, Walkaround
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models import Person, Signature
from fleet.services.people.signatures import sign
from tests.factories.fleet import NOON, make_unit


def _signature(person: Person, purpose: SignaturePurpose) -> Signature:
    signature = sign(
        purpose=purpose,
        signer=person,
        token_owner=person,
        shown="what is signed",
        content={"by": person.pk},
        method=SignatureMethod.TYPED,
        device="phone",
        signed_at=NOON,
        offset_minutes=-360,
        now=NOON,
    )
    signature.save(force_insert=True)
    return signature


def _walkaround_of(person: Person) -> str:
    catalogue, _ = CatalogueVersion.objects.get_or_create(
        content_hash="0" * 64, defaults={"document": "{}", "first_used_at": NOON}
    )
    key = uuid7()
    Walkaround.objects.create(
        id=key,
        kind="pre_trip",
        person=person,
        signature=_signature(person, SignaturePurpose.REPORT),
        body_hash="0" * 64,
        catalogue=catalogue,
        started_at=NOON,
        finished_at=NOON,
        performed_at=NOON,
        received_at=NOON,
        offset_minutes=-360,
        skew_seconds=0,
        conditions={},
    )
    return str(key)


def _review_of(person: Person) -> str:
    signature = _signature(person, SignaturePurpose.REVIEW)
    DriverReview.objects.create(
        unit=make_unit(), person=person, signature=signature, reviewed_at=NOON, recorded_at=NOON
    )
    return str(signature.pk)


def _refusal_of(person: Person) -> str:
    refusal = Refusal.objects.create(
        unit=make_unit(),
        person=person,
        reason="free play",
        refused_at=NOON,
        received_at=NOON,
        signature=_signature(person, SignaturePurpose.REFUSAL),
        copy="the copy",
        copy_hash="0" * 64,
    )
    return str(refusal.pk)


ROW_OF: dict[str, Callable[[Person], str]] = {
    "GET /driver-reviews/{key}": _review_of,
    "GET /refusals/{key}": _refusal_of,
    "GET /walkarounds/{key}": _walkaround_of,
}
