"""Taking a defect for entered in error: only after a second person measured or looked again; the original is kept."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict, Invalid
from defects.models import Defect, Sighting
from defects.rules.certifying import evidence_for
from defects.rules.vocabulary import Evidence
from defects.selectors.defects import is_photo_of
from defects.services.cases import Case, on_standing_order, open_case
from defects.services.certificates import enter_measurement, measured_since
from defects.services.shop import Measured, is_measured, refuse_past_limit
from defects.signals import defects_withdrawn
from fleet.models import Person


@transaction.atomic
def enter_in_error(
    *,
    defect_id: UUID,
    version: int | None,
    reason: str,
    measured: Measured | None,
    photo: str,
    actor: Person,
    now: datetime,
) -> Defect:
    """End a defect that never was one.

    A measured fault needs a value within the limits by a person who did not find it; any other a look by a foreman
    who did not find it, with a photo where the point asks for one. Conflict `worked_on_already` once somebody worked
    on it, for then it was repaired; `on_officers_order`; Invalid `second_person_needed`, `error_without_evidence` and
    those of `refuse_past_limit`.
    """
    case = open_case(defect_id=defect_id, version=version, actor=actor, now=now)
    case.move("enter_in_error", {"reason"} if reason.strip() else set())
    defect = case.defect
    if on_standing_order(defect):
        raise Conflict("on_officers_order", defect=defect.number)
    if defect.worked_by.exists():
        raise Conflict("worked_on_already", defect=defect.number)
    shown_by = _measured(case, measured) if is_measured(defect, case.catalogue) else _looked_at(case, photo)
    defect.current_certificate = None
    case.save("current_certificate")
    case.record("defect_entered_in_error", {"reason": reason, **shown_by})
    defects_withdrawn.send(Defect, defects=[defect], ledger=case.ledger, actor=actor, now=now)
    return case.finish()


def _measured(case: Case, measured: Measured | None) -> dict[str, object]:
    if measured is not None:
        enter_measurement(case, measured, case.actor.pk)
    newest = measured_since(case.defect)
    if newest is None:
        raise Invalid("error_without_evidence", pointer="/measured", evidence="measurement")
    _refuse_finder(case, newest.person_id)
    shown = Measured(newest.value, newest.unit_of_measure, newest.measured_at)
    refuse_past_limit(case.defect, shown, case.catalogue, case.day(newest.measured_at), "/measured")
    return {"measurement": newest.pk, "value": newest.value, "by": newest.person_id}


def _looked_at(case: Case, photo: str) -> dict[str, object]:
    if evidence_for(case.point) is Evidence.PHOTO and not photo:
        raise Invalid("error_without_evidence", pointer="/photo", evidence="photo")
    if photo and not is_photo_of(case.defect, photo):
        raise Invalid("photo_not_stored", pointer="/photo")
    _refuse_finder(case, case.actor.pk)
    return {"photo": photo, "by": case.actor.pk}


def _refuse_finder(case: Case, person: UUID) -> None:
    """Whoever found or saw the fault cannot be the second person."""
    seen = Sighting.objects.filter(defect=case.defect, person=person).exists()
    if seen or person == case.defect.found_by_id:
        raise Invalid("second_person_needed")
