"""Frozen files and records of what was deleted; the latter as only the owner of the tables could write them."""

import datetime as dt
from typing import Any

from common.ids import uuid7
from fleet.enums import Deleted, HoldCause, Role
from fleet.models import Deletion, LegalHold, Person, Unit
from fleet.services.records.legal_holds import place_legal_hold
from tests.factories.fleet import NOON, make_person


def make_legal_hold(unit: Unit, actor: Person | None = None, cause: HoldCause = HoldCause.CLAIM) -> LegalHold:
    actor = actor or make_person("Vera Holt", Role.COMPLIANCE)
    return place_legal_hold(unit_id=unit.pk, cause=cause, reason="claim over a load", actor=actor, now=NOON)


def make_deletion(unit: Unit | None, **fields: Any) -> Deletion:
    """Of a photo, unless something else is said."""
    facts = {
        "what": Deleted.PHOTO,
        "record": uuid7(),
        "unit": unit,
        "unit_name": "" if unit is None else str(unit),
        "record_kind": "driver_report",
        "kept_until": dt.date(2026, 2, 1),
        "rule": "3 months from the day the written report was prepared",
        "source": "49 CFR 396.11(a)(4)",
        "content_hash": "ab" * 32,
        "deleted_at": NOON,
        "sweep": uuid7(),
    }
    return Deletion.objects.create(**{**facts, **fields})
