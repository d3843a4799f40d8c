"""Defects: lists, one defect's page, and its moves. Each move answers with the defect's page."""

from functools import cached_property
from http import HTTPStatus
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.filter_kinds import FlagFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.views import expected_version, gives, set_etag, takes
from defects.api.catalogue.in_force import catalogue_for
from defects.api.defects.answers import DefectAnswer, DefectPageAnswer
from defects.api.defects.bodies import (
    CertifyBody,
    GradeBody,
    InErrorBody,
    RegradeBody,
    ReopenBody,
    RepeatedTestBody,
    SupersedeBody,
)
from defects.api.tires.wear import TireAnswer
from defects.enums import FREIGHT, OPEN_DEFECT_STATES, Bars, CertificateKind, DefectState, Listing, Severity
from defects.models import Defect
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.closed_sets import Subsystem, System
from defects.rules.tires import TREAD_POINTS
from defects.selectors.defects.defects import (
    defect_for_page,
    defect_key,
    defect_page,
    defect_rows,
    found_or_seen_by,
    points_of_system,
)
from defects.selectors.tires import tire_wear
from defects.services.certificates.certify import certify_repaired, certify_unnecessary, supersede
from defects.services.defects.errors_in_entry import enter_in_error
from defects.services.defects.grading import Described, Grade, grade, regrade
from defects.services.defects.reopen import reopen
from defects.services.defects.repeated_tests import record_test
from defects.transitions import DEFECTS, REPEAT_TEST
from fleet.api.requests.authentication import ServiceRequest, service_request
from fleet.api.requests.filters import UnitRefsFilter, WorkOfPersonFilter, whose
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin
from fleet.models.base import choices
from fleet.selectors.carrier.carrier import carriers_zone


class DefectFilters(StrictFilterSet):
    """By unit, state, severity, what they bar, whether graded, system, finder, whether a comeback, and still open."""

    unit = UnitRefsFilter(field_name="unit")
    state = filters.MultipleChoiceFilter(choices=choices(DefectState))
    severity = filters.MultipleChoiceFilter(choices=choices(Severity))
    bars = filters.ChoiceFilter(choices=choices(Bars), method="by_bars")
    graded = FlagFilter()
    open = OpenFilter(Q(state__in=OPEN_DEFECT_STATES))
    since, until = within("found_at")
    system = filters.ChoiceFilter(choices=choices(System), method="by_system")
    subsystem = filters.ChoiceFilter(choices=choices(Subsystem), method="by_system")
    finder = WorkOfPersonFilter(method="by_finder", help_text="Found, or seen again, by this person: `me`, or a key.")
    comeback = FlagFilter(field_name="comeback_of", lookup_expr="isnull", exclude=True)

    def by_bars(self, rows: QuerySet[Defect], _name: str, value: Any) -> QuerySet[Defect]:
        """As the answer gives it: of what bars no freight, the noted as graded, the listed under movement."""
        graded = rows.filter(bars=value)
        if value in FREIGHT:
            return graded
        listed = ~Q(listing=Listing.NOTED) & ~Q(bars__in=FREIGHT)
        return rows.filter(Q(bars=value) | listed) if value == Bars.MOVEMENT else graded.exclude(listed)

    def by_system(self, rows: QuerySet[Defect], _name: str, value: Any) -> QuerySet[Defect]:
        catalogue = catalogue_for(service_request(self.request))
        return rows.filter(point__in=points_of_system(catalogue, value))

    def by_finder(self, rows: QuerySet[Defect], _name: str, value: UUID | str) -> QuerySet[Defect]:
        return rows.filter(found_or_seen_by(whose(value, service_request(self.request).person)))


MOVES = ("certify", "supersede", "grade", "regrade", "reopen", "entered_in_error")


class DefectViewSet(ListMixin):
    """Defects, newest first, each in one line of your language."""

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "certify": DEFECTS.roles_for("certify_repaired", "certify_unnecessary"),
        "supersede": DEFECTS.roles_for("supersede"),
        "grade": DEFECTS.roles_for("grade"),
        "regrade": DEFECTS.roles_for("regrade"),
        "reopen": DEFECTS.roles_for("reopen"),
        "entered_in_error": DEFECTS.roles_for("enter_in_error"),
        "repeat_test": REPEAT_TEST,
    }
    if_match = frozenset(MOVES)
    filterset_class = DefectFilters
    ordering = ("-found_at",)
    shows = DefectAnswer
    queryset = defect_rows()

    @cached_property
    def catalogue(self) -> Catalogue:
        return catalogue_for(service_request(self.request))

    def answer_of(self, row: Any) -> DefectAnswer:
        return DefectAnswer.of_defect(row, self.catalogue, service_request(self.request).person.language)

    @gives(DefectPageAnswer)
    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """One defect, by number or key, with its story.

        That is its sightings, certificates, holds, order, photos, comebacks and what you may do.
        """
        return self._page(ref, request)

    @gives(DefectPageAnswer)
    @takes(CertifyBody)
    def certify(self, request: ServiceRequest, body: CertifyBody, ref: str) -> Response:
        """Sign that it was repaired, or that repair is unnecessary until a limit (396.11(a)(3))."""
        repaired = body.kind == CertificateKind.REPAIRED
        certificate = (certify_repaired if repaired else certify_unnecessary)(
            **self._named(request, ref), statement=body.statement_by(request.person)
        )
        return self._page(certificate.defect_id, request)

    @gives(DefectPageAnswer)
    @takes(SupersedeBody)
    def supersede(self, request: ServiceRequest, body: SupersedeBody, ref: str) -> Response:
        """Sign a better certificate of the same kind in place of the one in force; the old one stays on record."""
        certificate = supersede(**self._named(request, ref), statement=body.statement_by(request.person))
        return self._page(certificate.defect_id, request)

    @gives(DefectPageAnswer)
    @takes(GradeBody)
    def grade(self, request: ServiceRequest, body: GradeBody, ref: str) -> Response:
        """Grade a fault told in free text: how bad it is, what it bars, and which point it belongs to, if any."""
        defect = grade(
            **self._named(request, ref),
            new_grade=Grade(body.severity, body.bars),
            authority=body.authority,
            described=Described(body.point, body.place, body.finding),
            reason=body.reason,
        )
        return self._page(defect.pk, request)

    @gives(DefectPageAnswer)
    @takes(RegradeBody)
    def regrade(self, request: ServiceRequest, body: RegradeBody, ref: str) -> Response:
        """Grade a defect anew: raise it freely, or lower it as far as the rule lets it."""
        new_grade = Grade(body.severity, body.bars)
        defect = regrade(**self._named(request, ref), new_grade=new_grade, reason=body.reason)
        return self._page(defect.pk, request)

    @extend_schema(responses={200: DefectPageAnswer, 201: DefectPageAnswer})
    @takes(ReopenBody)
    def reopen(self, request: ServiceRequest, body: ReopenBody, ref: str) -> Response:
        """Reopen a defect whose repair did not hold.

        200 with the defect, reported again; 201 with its comeback when it was closed.
        """
        named = self._named(request, ref)
        defect = reopen(**named, reason=body.reason)
        if defect.pk == named["defect_id"]:
            return self._page(defect.pk, request)
        answer = self._page(defect.pk, request, HTTPStatus.CREATED)
        answer.headers["Location"] = f"/api/v1/defects/{defect.number}"
        return answer

    @gives(DefectPageAnswer)
    @takes(InErrorBody)
    def entered_in_error(self, request: ServiceRequest, body: InErrorBody, ref: str) -> Response:
        """Take a defect for entered in error, after a second person measured or looked.

        It ends; what was reported stays on record.
        """
        defect = enter_in_error(
            **self._named(request, ref),
            reason=body.reason,
            signing=body.signature.signing(request.person),
            measured=body.measured.measured if body.measured else None,
            photo=body.photo,
        )
        return self._page(defect.pk, request)

    @extend_schema(responses={201: DefectPageAnswer})
    @takes(RepeatedTestBody)
    def repeat_test(self, request: ServiceRequest, body: RepeatedTestBody, ref: str) -> Response:
        """Record a test that you repeated at an open defect, where no picture shows the repair.

        Your word that it passed, for the certificate of who did the work; or that it failed again.
        """
        defect = record_test(
            defect_id=defect_key(ref),
            passed=body.passed,
            note=body.note,
            tested_at=body.tested_at,
            actor=request.person,
            now=request.now,
        )
        return self._page(defect.pk, request, HTTPStatus.CREATED)

    def _named(self, request: ServiceRequest, ref: str) -> dict[str, Any]:
        """What every move is told: the defect, the version that the caller saw, who and when."""
        version = expected_version(request)
        return {"defect_id": defect_key(ref), "version": version, "actor": request.person, "now": request.now}

    def _page(self, ref: str | UUID, request: ServiceRequest, status: int = HTTPStatus.OK) -> Response:
        """The page of a defect as it is now, with the ETag that its moves ask for."""
        defect = defect_for_page(str(ref))
        tires = tire_wear([defect.unit_id], self.catalogue, place=defect.place) if defect.point in TREAD_POINTS else {}
        tire = None
        if worn := tires.get((defect.unit_id, defect.point, defect.place)):
            tire = TireAnswer.of_wear(worn, request.person.language, ZoneInfo(carriers_zone()))
        page = DefectPageAnswer.of_page(defect_page(defect), self.catalogue, request.person, tire)
        answer = Response(page, status=status)
        set_etag(answer, defect.version)
        return answer
