"""Certifying a defect: repaired, repair unnecessary for now, or a better certificate in place of the one in force."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict
from defects.enums import CertificateKind, DefectState
from defects.models import Certificate, Defect
from defects.rules.certificates import GradedFinding, may_be_dismissed
from defects.selectors.defects.naming import faults_named
from defects.selectors.reviews import review_will_close
from defects.services.certificates.certificates import refuse_signer, write_certificate
from defects.services.certificates.deferrals import refuse_limit
from defects.services.defects.evidence import Proof, Statement, newest_measurement, proof_of_repair, shown_otherwise
from defects.services.defects.locked import locked_defect, on_active_order, record_defect
from defects.services.defects.remeasured import within_limits
from defects.signals import defects_certified
from defects.transitions import DEFECTS
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork


def certify_repaired(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Sign that a defect was repaired. A defect that no driver reported closes at once, any other waits for a review.

    Raises as `locked_defect`, the table, `refuse_signer` and `proof_of_repair`, Conflict `defect_not_graded`.
    """
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        return repaired(work, defect, statement)


def repaired(work: UnitOfWork, defect: Defect, statement: Statement) -> Certificate:
    """The same on a defect that is locked already; the caller ends the unit of work."""
    _begin(work, defect, "certify_repaired", statement)
    certificate = write_certificate(
        work, defect, statement, CertificateKind.REPAIRED, proof_of_repair(work, defect, statement)
    )
    if not review_will_close(defect):
        close(work, defect, "close_on_certificate")
    defect.worked_by.clear()
    _end(work, defect, certificate)
    return certificate


def certify_unnecessary(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Sign that repair is unnecessary until a limit (396.11(a)(3)(ii)): the defect is deferred, its order stays open.

    Conflict `dismissal_refused` for a finding that says do not move, or one past a regulation's limit without a new
    measurement within it; `on_officers_order`; Invalid `limit_needed` and the others of `refuse_limit`.
    """
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        _begin(work, defect, "certify_unnecessary", statement)
        certificate = write_certificate(
            work, defect, statement, CertificateKind.REPAIR_UNNECESSARY, _dismissal(work, defect, statement)
        )
        _end(work, defect, certificate)
        return certificate


def supersede(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Put a better certificate of the same kind in the place of the one in force; the old one stays on record."""
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        certified = defect.state == DefectState.CERTIFIED
        _begin(work, defect, "supersede", statement)
        kind = CertificateKind.REPAIRED if certified else CertificateKind.REPAIR_UNNECESSARY
        proof = proof_of_repair(work, defect, statement) if certified else _dismissal(work, defect, statement)
        certificate = write_certificate(work, defect, statement, kind, proof)
        _end(work, defect, certificate)
        return certificate


def close(work: UnitOfWork, defect: Defect, action: str) -> None:
    """End a defect that is certified repaired."""
    work.follow(DEFECTS, defect, action)
    defect.closed_at = work.now
    record_defect(work, defect, "defect_closed", {"how": action})


def _begin(work: UnitOfWork, defect: Defect, action: str, statement: Statement) -> None:
    work.move(DEFECTS, defect, action, statement.given)
    if not defect.graded:
        raise Conflict("defect_not_graded", defect=defect.number, faults=faults_named([defect]))
    refuse_signer(work, defect, statement)


def _dismissal(work: UnitOfWork, defect: Defect, statement: Statement) -> Proof:
    if on_active_order(defect):
        raise Conflict("on_officers_order", defect=defect.number, faults=faults_named([defect]))
    refuse_limit(work, defect, statement.until)
    test = shown_otherwise(work, defect, statement, CertificateKind.REPAIR_UNNECESSARY)
    newest = newest_measurement(work, defect, statement)
    within = newest is not None and within_limits(work, defect, newest)
    finding = GradedFinding(defect.severity, defect.bars, defect.regulation_severity)
    if not may_be_dismissed(finding, measured_within=within):
        raise Conflict(
            "dismissal_refused", severity=defect.severity, regulation=defect.regulation_severity, rule=defect.rule
        )
    return Proof(newest, test)


def _end(work: UnitOfWork, defect: Defect, certificate: Certificate) -> None:
    work.save(defect, "state", "current_certificate", "closed_at")
    defects_certified.send(Certificate, certificates=[certificate], work=work)
