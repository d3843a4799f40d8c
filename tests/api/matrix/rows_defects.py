"""How to make the row of one person that an operation of defects names."""

from collections.abc import Callable

from common.ids import uuid7
from defects.models import CatalogueVersion, Walkaround
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models import Person
from fleet.services.signatures import sign
from tests.factories.fleet import NOON


def _walkaround_of(person: Person) -> str:
    signature = sign(
        purpose=SignaturePurpose.REPORT,
        signer=person,
        token_owner=person,
        shown="the report",
        content={"checks": []},
        method=SignatureMethod.TYPED,
        device="phone",
        signed_at=NOON,
        offset_minutes=-360,
        now=NOON,
    )
    signature.save(force_insert=True)
    catalogue, _ = CatalogueVersion.objects.get_or_create(
        content_hash="0" * 64, defaults={"document": "{}", "first_used_at": NOON}
    )
    key = uuid7()
    Walkaround.objects.create(
        id=key,
        kind="pre_trip",
        person=person,
        signature=signature,
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


ROW_OF: dict[str, Callable[[Person], str]] = {"GET /walkarounds/{key}": _walkaround_of}
