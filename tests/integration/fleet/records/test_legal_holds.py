"""Freezing a unit's file and letting it go again."""

import pytest

from common.errors import Conflict, Invalid, NotAllowed, NotFound
from common.ids import uuid7
from fleet.enums import HoldCause, Role
from fleet.models import HistoryContent, LegalHold
from fleet.services.records.legal_holds import lift_legal_hold, place_legal_hold
from tests.factories.fleet import HOUR, NOON, history_of, make_legal_hold, make_person, make_unit
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db


def test_placed_and_lifted__both_on_record_for_good() -> None:
    vera, unit = make_person("Vera Holt", Role.COMPLIANCE), make_unit()
    hold = make_legal_hold(unit, vera, HoldCause.CRASH)

    lifted = lift_legal_hold(hold_id=hold.pk, reason="settled", actor=vera, now=NOON + HOUR)

    assert (lifted.lifted_at, lifted.lifted_by, lifted.lift_reason) == (NOON + HOUR, vera, "settled")
    assert history_of(unit) == ["unit_added", "legal_hold_placed", "legal_hold_lifted"]
    assert set(HistoryContent.objects.filter(entry__unit=unit).values_list("record_kind", "retained_until")) == {
        ("unit_file", None)
    }


def test_unit__may_be_under_several() -> None:
    unit = make_unit()
    make_legal_hold(unit, cause=HoldCause.CLAIM)
    make_legal_hold(unit, cause=HoldCause.COMPLAINT)
    assert LegalHold.objects.filter(unit=unit, lifted_at__isnull=True).count() == 2


def test_lifted_twice_without_a_reason_or_by_a_driver__refused() -> None:
    vera, unit = make_person("Vera Holt", Role.COMPLIANCE), make_unit()
    hold = make_legal_hold(unit, vera)
    with refused(Invalid, "required_fields_missing", ("/reason", "required")):
        lift_legal_hold(hold_id=hold.pk, reason="", actor=vera, now=NOON)
    with refused(NotAllowed, "role_not_allowed"):
        lift_legal_hold(hold_id=hold.pk, reason="settled", actor=make_person("Iris Quade", Role.DRIVER), now=NOON)
    lift_legal_hold(hold_id=hold.pk, reason="settled", actor=vera, now=NOON)
    with refused(Conflict, "action_not_allowed"):
        lift_legal_hold(hold_id=hold.pk, reason="again", actor=vera, now=NOON)
    assert history_of(unit) == ["unit_added", "legal_hold_placed", "legal_hold_lifted"]


def test_unknown_unit_or_hold__not_found() -> None:
    vera = make_person("Vera Holt", Role.COMPLIANCE)
    with refused(NotFound, "unit_unknown"):
        place_legal_hold(unit_id=uuid7(), cause=HoldCause.OTHER, reason="none", actor=vera, now=NOON)
    with refused(NotFound, "legal_hold_unknown"):
        lift_legal_hold(hold_id=uuid7(), reason="none", actor=vera, now=NOON)
