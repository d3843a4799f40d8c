"""Certifying a defect: repaired, repair unnecessary for now, or a better certificate in place of the one in force."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict
from defects.enums import CertificateKind, DefectState
from defects.models import Certificate
from defects.rules.certifying import GradedFinding, may_be_dismissed
from defects.selectors.reviews import review_will_close
from defects.selectors.words import faults_named
from defects.services.cases import Case, on_standing_order, open_case
from defects.services.certificates import refuse_signer, write_certificate
from defects.services.deferrals import refuse_limit
from defects.services.evidence import Proof, Statement, newest_measurement, proof_of_repair, shown_otherwise
from defects.services.remeasured import within_limits
from defects.signals import defects_certified
from fleet.models import Person


@transaction.atomic
def certify_repaired(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Sign that a defect was repaired. A defect that no driver reported closes at once, any other waits for a review.

    Raises those of `open_case`, of the table, of `refuse_signer` and `proof_of_repair`, Conflict `defect_not_graded`.
    """
    return repaired(open_case(defect_id=defect_id, version=version, actor=actor, now=now), statement)


def repaired(case: Case, statement: Statement) -> Certificate:
    """The same on a defect that is locked already; the caller owns the transaction."""
    _begin(case, "certify_repaired", statement)
    certificate = write_certificate(case, statement, CertificateKind.REPAIRED, proof_of_repair(case, statement))
    if not review_will_close(case.defect):
        close(case, "close_on_certificate")
    case.defect.worked_by.clear()
    _end(case, certificate)
    return certificate


@transaction.atomic
def certify_unnecessary(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Sign that repair is unnecessary until a limit (396.11(a)(3)(ii)): the defect is deferred, its order stays open.

    Conflict `dismissal_refused` for a finding that says do not move, or one past a regulation's limit without a new
    measurement within it; `on_officers_order`; Invalid `limit_needed` and the others of `refuse_limit`.
    """
    case = open_case(defect_id=defect_id, version=version, actor=actor, now=now)
    _begin(case, "certify_unnecessary", statement)
    certificate = write_certificate(case, statement, CertificateKind.REPAIR_UNNECESSARY, _dismissal(case, statement))
    _end(case, certificate)
    return certificate


@transaction.atomic
def supersede(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Put a better certificate of the same kind in the place of the one in force; the old one stays on record."""
    case = open_case(defect_id=defect_id, version=version, actor=actor, now=now)
    certified = case.defect.state == DefectState.CERTIFIED
    _begin(case, "supersede", statement)
    kind = CertificateKind.REPAIRED if certified else CertificateKind.REPAIR_UNNECESSARY
    proof = proof_of_repair(case, statement) if certified else _dismissal(case, statement)
    certificate = write_certificate(case, statement, kind, proof)
    _end(case, certificate)
    return certificate


def close(case: Case, action: str) -> None:
    """End a defect that is certified repaired."""
    case.follow(action)
    case.defect.closed_at = case.now
    case.record("defect_closed", {"how": action})


def _begin(case: Case, action: str, statement: Statement) -> None:
    case.move(action, statement.given)
    if not case.defect.graded:
        raise Conflict("defect_not_graded", defect=case.defect.number, faults=faults_named([case.defect]))
    refuse_signer(case, statement)


def _dismissal(case: Case, statement: Statement) -> Proof:
    defect = case.defect
    if on_standing_order(defect):
        raise Conflict("on_officers_order", defect=defect.number, faults=faults_named([defect]))
    refuse_limit(case, statement.until)
    test = shown_otherwise(case, statement, CertificateKind.REPAIR_UNNECESSARY)
    newest = newest_measurement(case, statement)
    within = newest is not None and within_limits(case, newest)
    finding = GradedFinding(defect.severity, defect.bars, defect.regulation_severity)
    if not may_be_dismissed(finding, measured_within=within):
        raise Conflict(
            "dismissal_refused", severity=defect.severity, regulation=defect.regulation_severity, rule=defect.rule
        )
    return Proof(newest, test)


def _end(case: Case, certificate: Certificate) -> None:
    case.save("current_certificate", "closed_at")
    defects_certified.send(Certificate, certificates=[certificate], ledger=case.ledger, actor=case.actor, now=case.now)
    case.finish()
