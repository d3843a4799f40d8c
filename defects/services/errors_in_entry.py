"""Taking a defect for entered in error: signed, and only after a second person showed it. The original is kept."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict, Invalid
from defects.enums import CertificateKind
from defects.models import Defect, EntryInError, Measurement, RepeatedTest, Sighting
from defects.rules.certifying import evidence_for, word_counts
from defects.rules.vocabulary import Evidence
from defects.selectors.defects import evidence_of
from defects.selectors.facts import observer_of
from defects.selectors.words import faults_named
from defects.services.cases import Case, on_standing_order, open_case
from defects.services.evidence import enter_measurement, measured_since, passed_since, stored_photo
from defects.services.shop import Measured, is_measured, refuse_past_limit
from defects.services.signing import Signing, instant_of, refuse_another, signature_of
from defects.signals import defects_withdrawn
from fleet.enums import SignaturePurpose
from fleet.models import Person
from fleet.selectors.people.sign_in import set_roles


@dataclass(frozen=True)
class _Shown:
    """Who showed that nothing is wrong, and by what."""

    by: Person
    measurement: Measurement | None = None
    test: RepeatedTest | None = None
    photo: str = ""


@transaction.atomic
def enter_in_error(
    *,
    defect_id: UUID,
    version: int | None,
    reason: str,
    signing: Signing,
    measured: Measured | None,
    photo: str,
    actor: Person,
    now: datetime,
) -> Defect:
    """End a defect that never was one; whoever enters it does not lift its hold.

    Another than those who found it must have shown it, one whose word counts at the point: a measured fault by a value
    within the limits; what a regulation grades, and what says do not move, by a photo, or by a test repeated where no
    picture shows it; any other by a look, with a photo where the point asks for one. Conflict `worked_on_already` once
    somebody worked on it, for then it was repaired; `on_officers_order`; NotAllowed `sign_yourself`; Invalid
    `second_person_needed`, `word_does_not_count`, `error_without_evidence` (fact `evidence`), and those of
    `stored_photo` and `refuse_past_limit`.
    """
    case = open_case(defect_id=defect_id, version=version, actor=actor, now=now)
    case.move("enter_in_error", {"signature", *(("reason",) if reason.strip() else ())})
    refuse_another(signing, actor)
    instant_of(signing, now)
    defect = case.defect
    if on_standing_order(defect):
        raise Conflict("on_officers_order", defect=defect.number, faults=faults_named([defect]))
    if defect.worked_by.exists() or defect.certificates.filter(kind=CertificateKind.REPAIRED).exists():
        raise Conflict("worked_on_already", defect=defect.number, faults=faults_named([defect]))
    shown = _measured(case, measured) if is_measured(defect, case.catalogue) else _looked_at(case, photo)
    _refuse_word_of(case, shown.by)
    entry = _write(case, shown, reason, signing)
    defect.current_certificate = None
    case.save("current_certificate")
    said = {"reason": reason, "photo": photo, "by": shown.by.pk, "measurement": entry.measurement_id}
    case.record("defect_entered_in_error", {**said, "repeated_test": entry.repeated_test_id})
    defects_withdrawn.send(Defect, defects=[defect], ledger=case.ledger, actor=actor, now=now)
    return case.finish()


def _measured(case: Case, measured: Measured | None) -> _Shown:
    if measured is not None:
        enter_measurement(case, measured, case.actor.pk)
    newest = measured_since(case.defect)
    if newest is None:
        raise Invalid("error_without_evidence", pointer="/measured", evidence="measurement")
    shown = Measured(newest.value, newest.unit_of_measure, newest.measured_at)
    refuse_past_limit(case.defect, shown, case.catalogue, case.day(newest.measured_at), "/measured")
    return _Shown(newest.person, measurement=newest)


def _looked_at(case: Case, photo: str) -> _Shown:
    evidence = evidence_of(case.defect, case.catalogue)
    if case.defect.regulation_severity:
        evidence = evidence_for(case.point, grave=True)
    stored = stored_photo(case.defect, photo) if photo else None
    if stored is not None and evidence is not Evidence.REPEATED_TEST:
        return _Shown(stored.received_from, photo=photo)
    if evidence is Evidence.STATEMENT:
        return _Shown(case.actor)
    test = passed_since(case.defect, but=_finders(case)) if evidence is Evidence.REPEATED_TEST else None
    if test is None:
        pointer = "/reason" if evidence is Evidence.REPEATED_TEST else "/photo"
        raise Invalid("error_without_evidence", pointer=pointer, evidence=str(evidence))
    return _Shown(test.person, test=test, photo=photo)


def _refuse_word_of(case: Case, person: Person) -> None:
    """Whoever found or saw the fault cannot be the second person, nor one whose word does not count there."""
    if person.pk in _finders(case):
        raise Invalid("second_person_needed")
    if person.pk == case.actor.pk:
        person = case.actor
    else:
        set_roles(person, now=case.now)
    observer = observer_of(person.current_roles, person.scopes_on(case.day(case.now)))(case.point)
    if not word_counts(case.point, observer):
        raise Invalid("word_does_not_count", person=person.name)


def _finders(case: Case) -> set[UUID]:
    seen = Sighting.objects.filter(defect=case.defect).values_list("person_id", flat=True)
    return {case.defect.found_by_id, *seen}


def _write(case: Case, shown: _Shown, reason: str, signing: Signing) -> EntryInError:
    content = {
        "defect": case.defect.pk,
        "reason": reason,
        "shown_by": shown.by.pk,
        "measurement": None if shown.measurement is None else shown.measurement.pk,
        "repeated_test": None if shown.test is None else shown.test.pk,
        "photo": shown.photo,
    }
    signature = signature_of(
        signing, purpose=SignaturePurpose.IN_ERROR, content=content, actor=case.actor, now=case.now
    )
    signature.save(force_insert=True)
    return EntryInError.objects.create(
        defect=case.defect,
        reason=reason,
        signature=signature,
        shown_by=shown.by,
        measurement=shown.measurement,
        repeated_test=shown.test,
        photo_sha256=shown.photo,
        entered_at=case.now,
    )
