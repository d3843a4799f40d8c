"""The next driver's review (396.13): one signing act over every unit of the combination, which closes what it saw."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from uuid import UUID

from django.db.models import Exists, OuterRef

from common.canonical import canonical_json, sha256_hex
from common.errors import Conflict, NotAllowed, NotFound
from defects.enums import DefectState
from defects.models import Defect, DriverReview
from defects.rules.walkarounds.timing import SKEW_TOLERATED
from defects.selectors.defects.naming import faults_named, names_of_defect, numbers
from defects.selectors.holds import photo_awaited
from defects.selectors.reviews import DueReview, due_reviews
from defects.services.records.signatures import AS_MEANT, AsSent, Signing, instant_of, refuse_another, signature_of
from defects.transitions import DEFECTS, REVIEW
from fleet.enums import SignaturePurpose
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


def review_units(
    *,
    act: UUID,
    units: Sequence[UUID],
    reports: Collection[UUID],
    certificates: Collection[UUID],
    signing: Signing,
    actor: Person,
    now: datetime,
    sent: AsSent = AS_MEANT,
) -> tuple[list[DriverReview], bool]:
    """Sign that every report since the last review, and the certificates to it, were seen; one row for each unit.

    The rows, and whether they are new: the phone names the act, so sending it again gives the same. The units' locks
    keep a report from coming in between. Conflict `review_differs` for another act of that name; `certificate_missing`
    (fact `defects`) when a listed defect has none (396.13(c)); `review_not_current` (facts `reports`, `certificates`:
    what is due) unless exactly what is due is named. NotFound for another person's name, NotAllowed `sign_yourself`.
    """
    if REVIEW.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="review", roles=sorted(REVIEW))
    refuse_another(signing, actor)
    content = {
        "review": act,
        "units": frozenset(map(str, units)),
        "reports": frozenset(map(str, reports)),
        "certificates": frozenset(map(str, certificates)),
        **sent.signed,
    }
    with unit_of_work(units, actor=actor, now=now) as work:
        known = _known(act, content, actor)
        if known:
            return known, False
        due = due_reviews(units)
        _refuse_missing(due)
        _refuse_other(due, reports, certificates)
        instant, sent = _reviewed_at(due, instant_of(signing, now), sent, now)
        signature = signature_of(signing, purpose=SignaturePurpose.REVIEW, content=content, actor=actor, now=now)
        signature.pk = act
        signature.save(force_insert=True)
        sent.keep(act, now)
        rows = DriverReview.objects.bulk_create(
            DriverReview(unit_id=unit, person=actor, signature=signature, reviewed_at=instant, recorded_at=now)
            for unit in dict.fromkeys(units)
        )
        _link(rows, due)
        for row in rows:
            _record(work, row, due[row.unit_id], sent)
        _close([defect for item in due.values() for defect in item.defects], work, instant)
        return rows, True


def _reviewed_at(
    due: Mapping[UUID, DueReview], signed_at: datetime, sent: AsSent, now: datetime
) -> tuple[datetime, AsSent]:
    """When it counts as signed: as of receipt, and flagged, for an instant before what it says was seen."""
    seen = [report.performed_at for item in due.values() for report in item.reports]
    seen += [certificate.certified_at for item in due.values() for certificate in item.certificates]
    if all(at - signed_at <= SKEW_TOLERATED for at in seen):
        return max([signed_at, *seen]), sent
    flag = {"code": "signed_at_implausible", "facts": {}}
    return now, replace(sent, flags=(*sent.flags, flag))


def _known(act: UUID, content: Mapping[str, object], actor: Person) -> list[DriverReview]:
    rows = list(DriverReview.objects.filter(signature=act).select_related("signature").order_by("pk"))
    if not rows:
        return []
    if rows[0].person_id != actor.pk:
        raise NotFound("not_found")
    if rows[0].signature.content_hash != sha256_hex(canonical_json(content)):
        raise Conflict("review_differs")
    return rows


def _refuse_missing(due: Mapping[UUID, DueReview]) -> None:
    missing = [defect for item in due.values() for defect in item.missing]
    if missing:
        raise Conflict("certificate_missing", defects=numbers(missing), faults=faults_named(missing))


def _refuse_other(due: Mapping[UUID, DueReview], reports: Collection[UUID], certificates: Collection[UUID]) -> None:
    due_reports = {report.pk for item in due.values() for report in item.reports}
    due_certificates = {certificate.pk for item in due.values() for certificate in item.certificates}
    if due_reports != set(reports) or due_certificates != set(certificates):
        raise Conflict(
            "review_not_current", reports=sorted(map(str, due_reports)), certificates=sorted(map(str, due_certificates))
        )


def _link(rows: Sequence[DriverReview], due: Mapping[UUID, DueReview]) -> None:
    seen, certified = DriverReview.reports.through, DriverReview.certificates.through
    seen.objects.bulk_create(
        seen(driverreview_id=row.pk, report_id=report.pk) for row in rows for report in due[row.unit_id].reports
    )
    certified.objects.bulk_create(
        certified(driverreview_id=row.pk, certificate_id=certificate.pk)
        for row in rows
        for certificate in due[row.unit_id].certificates
    )


def _record(work: UnitOfWork, row: DriverReview, due: DueReview, sent: AsSent) -> None:
    work.record(
        row.unit_id,
        "driver_reviewed",
        subject=row.pk,
        performed_at=row.reviewed_at,
        body={
            "reports": [report.pk for report in due.reports],
            "certificates": [certificate.pk for certificate in due.certificates],
            "defects": numbers(due.defects),
            "fault": faults_named(due.defects),
            **sent.history,
        },
    )


def close_once_shown(units: Collection[UUID], work: UnitOfWork) -> None:
    """End what a driver corrected on the spot, and another has reviewed, once its photo is here."""
    through = DriverReview.certificates.through
    reviewed = through.objects.filter(certificate_id=OuterRef("current_certificate_id"))
    corrected = Defect.objects.filter(
        Exists(reviewed),
        unit_id__in=units,
        state=DefectState.CERTIFIED,
        current_certificate__corrected_on_the_spot=True,
    )
    _close(list(corrected.select_related("current_certificate").order_by("number")), work, work.now)


def _close(defects: Iterable[Defect], work: UnitOfWork, instant: datetime) -> None:
    """End what is certified repaired; a deferred defect stays, and so does a repair whose photo has not arrived."""
    ended = [defect for defect in defects if defect.state == DefectState.CERTIFIED and not _lacks_photo(defect)]
    for defect in ended:
        DEFECTS.follow(defect, "close_by_review")
        defect.closed_at = work.now
        defect.version += 1
        work.record(
            defect.unit_id,
            "defect_closed",
            subject=defect.pk,
            performed_at=instant,
            body={"defect": defect.number, "fault": names_of_defect(defect), "how": "close_by_review"},
        )
    if ended:
        Defect.objects.bulk_update(ended, ["state", "closed_at", "version"])


def _lacks_photo(defect: Defect) -> bool:
    """Whether the photo that a driver named is missing; an answer that ends a driver's own fault names none."""
    certificate = defect.current_certificate
    return certificate is not None and certificate.photo_sha256 != "" and photo_awaited(defect)
