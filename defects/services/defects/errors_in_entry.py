"""Taking a defect for entered in error: signed, and only after a second person showed it. The original is kept."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, Invalid
from defects.enums import CertificateKind, Evidence
from defects.models import Defect, EntryInError, Measurement, RepeatedTest, Sighting
from defects.rules.certificates import evidence_for, word_counts
from defects.selectors.catalogue.catalogue import observer_of
from defects.selectors.defects.defects import evidence_of
from defects.selectors.defects.naming import faults_named
from defects.services.defects.evidence import enter_measurement, measured_since, passed_since, stored_photo
from defects.services.defects.locked import catalogue_of, locked_defect, on_active_order, point_of, record_defect
from defects.services.records.measurements import Measured, is_measured, refuse_past_limit
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from defects.signals import defects_withdrawn
from defects.transitions import DEFECTS
from fleet.enums import SignaturePurpose
from fleet.models import Person
from fleet.selectors.people.sign_in import set_roles
from fleet.services.records.unit_of_work import UnitOfWork


@dataclass(frozen=True)
class _Shown:
    """Who showed that nothing is wrong, and by what."""

    by: Person
    measurement: Measurement | None = None
    test: RepeatedTest | None = None
    photo: str = ""


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
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        work.move(DEFECTS, defect, "enter_in_error", {"signature", *(("reason",) if reason.strip() else ())})
        refuse_another(signing, actor)
        instant_of(signing, now, since=defect.found_at)
        if on_active_order(defect):
            raise Conflict("on_officers_order", defect=defect.number, faults=faults_named([defect]))
        if defect.worked_by.exists() or defect.certificates.filter(kind=CertificateKind.REPAIRED).exists():
            raise Conflict("worked_on_already", defect=defect.number, faults=faults_named([defect]))
        shown = (
            _measured(work, defect, measured)
            if is_measured(defect, catalogue_of(work))
            else _looked_at(work, defect, photo)
        )
        _refuse_word_of(work, defect, shown.by)
        entry = _write(work, defect, shown, reason, signing)
        defect.current_certificate = None
        work.save(defect, "state", "current_certificate")
        said = {"reason": reason, "photo": photo, "by": shown.by.pk, "measurement": entry.measurement_id}
        record_defect(work, defect, "defect_entered_in_error", {**said, "repeated_test": entry.repeated_test_id})
        defects_withdrawn.send(Defect, defects=[defect], work=work)
        return defect


def _measured(work: UnitOfWork, defect: Defect, measured: Measured | None) -> _Shown:
    if measured is not None:
        enter_measurement(work, defect, measured, work.actor.pk)
    newest = measured_since(defect)
    if newest is None:
        raise Invalid("error_without_evidence", pointer="/measured", evidence="measurement")
    shown = Measured(newest.value, newest.unit_of_measure, newest.measured_at)
    refuse_past_limit(defect, shown, catalogue_of(work), work.day(newest.measured_at), "/measured")
    return _Shown(newest.person, measurement=newest)


def _looked_at(work: UnitOfWork, defect: Defect, photo: str) -> _Shown:
    evidence = evidence_of(defect, catalogue_of(work))
    if defect.regulation_severity:
        evidence = evidence_for(point_of(work, defect), grave=True)
    stored = stored_photo(defect, photo) if photo else None
    if stored is not None and evidence is not Evidence.REPEATED_TEST:
        return _Shown(stored.received_from, photo=photo)
    if evidence is Evidence.STATEMENT:
        return _Shown(work.actor)
    test = passed_since(defect, but=_authors(defect)) if evidence is Evidence.REPEATED_TEST else None
    if test is None:
        pointer = "/reason" if evidence is Evidence.REPEATED_TEST else "/photo"
        raise Invalid("error_without_evidence", pointer=pointer, evidence=str(evidence))
    return _Shown(test.person, test=test, photo=photo)


def _refuse_word_of(work: UnitOfWork, defect: Defect, person: Person) -> None:
    """Whoever found or saw the fault cannot be the second person, nor one whose word does not count there."""
    if person.pk in _authors(defect):
        raise Invalid("second_person_needed")
    if person.pk == work.actor.pk:
        person = work.actor
    else:
        set_roles(person, now=work.now)
    observer = observer_of(person.current_roles, person.scopes_on(work.day(work.now)))(point_of(work, defect))
    if not word_counts(point_of(work, defect), observer):
        raise Invalid("word_does_not_count", person=person.name)


def _authors(defect: Defect) -> set[UUID]:
    seen = Sighting.objects.filter(defect=defect).values_list("person_id", flat=True)
    return {defect.found_by_id, *seen}


def _write(work: UnitOfWork, defect: Defect, shown: _Shown, reason: str, signing: Signing) -> EntryInError:
    content = {
        "defect": defect.pk,
        "reason": reason,
        "shown_by": shown.by.pk,
        "measurement": None if shown.measurement is None else shown.measurement.pk,
        "repeated_test": None if shown.test is None else shown.test.pk,
        "photo": shown.photo,
    }
    signature = signature_of(
        signing, purpose=SignaturePurpose.IN_ERROR, content=content, actor=work.actor, now=work.now
    )
    signature.save(force_insert=True)
    return EntryInError.objects.create(
        defect=defect,
        reason=reason,
        signature=signature,
        shown_by=shown.by,
        measurement=shown.measurement,
        repeated_test=shown.test,
        photo_sha256=shown.photo,
        entered_at=work.now,
    )
