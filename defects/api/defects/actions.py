"""What may be done with one defect, each move at its own address. Each answers with the defect's page."""

from http import HTTPStatus
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from defects.api.catalogues import catalogue_for
from defects.api.defects.bodies import (
    CertifyBody,
    GradeBody,
    InErrorBody,
    ReasonBody,
    RegradeBody,
    SupersedeBody,
    TestBody,
    measured_of,
)
from defects.api.defects.serializers import DefectPageOut
from defects.api.defects.views import defect_answer
from defects.api.signatures import own_signing
from defects.enums import Authority, Bars, CertificateKind, Severity
from defects.selectors.defects.defects import defect_for_page, defect_key
from defects.services.certificates.certify import certify_repaired, certify_unnecessary, supersede
from defects.services.defects.errors_in_entry import enter_in_error
from defects.services.defects.grading import Described, Grade, grade, regrade
from defects.services.defects.reopen import reopen
from defects.services.defects.repeated_tests import record_test
from defects.transitions import DEFECTS, REPEAT_TEST
from fleet.api.base import ServiceView
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest

NEEDS_VERSION = frozenset({"post"})


def page_of(key: UUID, request: ServiceRequest, status: int = HTTPStatus.OK) -> Response:
    """The page of a defect as it is now."""
    return defect_answer(defect_for_page(str(key)), catalogue_for(request), request.person, status)


class CertifyView(ServiceView):
    """The carrier's signed statement on a defect (396.11(a)(3))."""

    roles = {"post": DEFECTS.roles_for("certify_repaired", "certify_unnecessary")}
    if_match = NEEDS_VERSION
    tag = "defects"

    @extend_schema(
        operation_id="defects_certify", summary="Certify a defect", request=CertifyBody, responses=DefectPageOut
    )
    def post(self, request: ServiceRequest, ref: str) -> Response:
        """Sign that it was repaired, or that repair is unnecessary until a limit."""
        body = parsed(CertifyBody, request)
        repaired = body.validated_data["kind"] == CertificateKind.REPAIRED
        certificate = (certify_repaired if repaired else certify_unnecessary)(
            defect_id=defect_key(ref),
            version=expected_version(request),
            statement=body.statement_by(request.person),
            actor=request.person,
            now=request.now,
        )
        return page_of(certificate.defect_id, request)


class SupersedeView(ServiceView):
    """A better certificate in place of the one in force."""

    roles = {"post": DEFECTS.roles_for("supersede")}
    if_match = NEEDS_VERSION
    tag = "defects"

    @extend_schema(
        operation_id="defects_supersede",
        summary="Put a better certificate in the place of the one in force",
        request=SupersedeBody,
        responses=DefectPageOut,
    )
    def post(self, request: ServiceRequest, ref: str) -> Response:
        """Sign a certificate of the same kind; the old one stays on record."""
        body = parsed(SupersedeBody, request)
        certificate = supersede(
            defect_id=defect_key(ref),
            version=expected_version(request),
            statement=body.statement_by(request.person),
            actor=request.person,
            now=request.now,
        )
        return page_of(certificate.defect_id, request)


class GradeView(ServiceView):
    """The foreman's first grade of a fault told in free text."""

    roles = {"post": DEFECTS.roles_for("grade")}
    if_match = NEEDS_VERSION
    tag = "defects"

    @extend_schema(
        operation_id="defects_grade", summary="Grade a fault in free text", request=GradeBody, responses=DefectPageOut
    )
    def post(self, request: ServiceRequest, ref: str) -> Response:
        """Say how bad it is and what it bars, and which point it belongs to, if any."""
        given = parsed(GradeBody, request).validated_data
        defect = grade(
            defect_id=defect_key(ref),
            version=expected_version(request),
            given=Grade(Severity(given["severity"]), Bars(given["bars"])),
            standing=Authority(given["standing"]),
            described=Described(given.get("point", ""), given.get("place", ""), given.get("finding", "")),
            reason=given.get("reason", ""),
            actor=request.person,
            now=request.now,
        )
        return page_of(defect.pk, request)


class RegradeView(ServiceView):
    """Another grade by the foreman."""

    roles = {"post": DEFECTS.roles_for("regrade")}
    if_match = NEEDS_VERSION
    tag = "defects"

    @extend_schema(
        operation_id="defects_regrade", summary="Grade a defect anew", request=RegradeBody, responses=DefectPageOut
    )
    def post(self, request: ServiceRequest, ref: str) -> Response:
        """Raise it freely, or lower it as far as the rule lets it."""
        given = parsed(RegradeBody, request).validated_data
        defect = regrade(
            defect_id=defect_key(ref),
            version=expected_version(request),
            given=Grade(Severity(given["severity"]), Bars(given["bars"])),
            reason=given["reason"],
            actor=request.person,
            now=request.now,
        )
        return page_of(defect.pk, request)


class ReopenView(ServiceView):
    """A certified repair did not hold."""

    roles = {"post": DEFECTS.roles_for("reopen")}
    if_match = NEEDS_VERSION
    tag = "defects"

    @extend_schema(
        operation_id="defects_reopen",
        summary="Reopen a defect whose repair did not hold",
        request=ReasonBody,
        responses={200: DefectPageOut, 201: DefectPageOut},
    )
    def post(self, request: ServiceRequest, ref: str) -> Response:
        """200 with the defect, reported again; 201 with its comeback when it was closed."""
        body = parsed(ReasonBody, request)
        key = defect_key(ref)
        defect = reopen(
            defect_id=key,
            version=expected_version(request),
            reason=body.validated_data["reason"],
            actor=request.person,
            now=request.now,
        )
        if defect.pk == key:
            return page_of(key, request)
        answer = page_of(defect.pk, request, HTTPStatus.CREATED)
        answer.headers["Location"] = f"/api/v1/defects/{defect.number}"
        return answer


class EnteredInErrorView(ServiceView):
    """It never was a defect."""

    roles = {"post": DEFECTS.roles_for("enter_in_error")}
    if_match = NEEDS_VERSION
    tag = "defects"

    @extend_schema(
        operation_id="defects_entered_in_error",
        summary="Take a defect for entered in error, after a second person measured or looked",
        request=InErrorBody,
        responses=DefectPageOut,
    )
    def post(self, request: ServiceRequest, ref: str) -> Response:
        """End it; what was reported stays on record."""
        given = parsed(InErrorBody, request).validated_data
        defect = enter_in_error(
            defect_id=defect_key(ref),
            version=expected_version(request),
            reason=given["reason"],
            signing=own_signing(given["signature"], request.person),
            measured=measured_of(given),
            photo=given.get("photo", ""),
            actor=request.person,
            now=request.now,
        )
        return page_of(defect.pk, request)


class RepeatedTestView(ServiceView):
    """A test repeated at an open defect, where no picture shows the repair."""

    roles = {"post": REPEAT_TEST}
    tag = "defects"

    @extend_schema(
        operation_id="defects_repeat_test",
        summary="Record a test that you repeated",
        request=TestBody,
        responses={201: DefectPageOut},
    )
    def post(self, request: ServiceRequest, ref: str) -> Response:
        """Your word that it passed, for the certificate of who did the work; or that it failed again."""
        given = parsed(TestBody, request).validated_data
        defect = record_test(
            defect_id=defect_key(ref),
            passed=given["passed"],
            note=given.get("note", ""),
            tested_at=given["tested_at"],
            actor=request.person,
            now=request.now,
        )
        return page_of(defect.pk, request, HTTPStatus.CREATED)
