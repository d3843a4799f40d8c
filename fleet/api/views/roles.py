"""Roles of people, and qualifications with their evidence."""

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from fleet.api.base import ServiceViewSet
from fleet.api.filters import QualificationFilter
from fleet.api.names import person_in_body, site_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import ADMINISTRATOR, OFFICE, READERS_OF_SKILLS
from fleet.api.serializers.people import LastDayBody, QualificationBody, QualificationOut, RoleBody, RoleOut
from fleet.models import PersonRole, Qualification
from fleet.selectors.people.visible import qualifications_visible_to
from fleet.services.people.roles import end_qualification, end_role, grant_qualification, grant_role


class PersonRoleViewSet(ServiceViewSet):
    """The roles of one person; they are read with the person."""

    roles = {"create": ADMINISTRATOR, "end": ADMINISTRATOR}
    output = RoleOut
    queryset = PersonRole.objects.select_related("site", "granted_by", "ended_by")

    @extend_schema(request=RoleBody, responses={201: RoleOut})
    def create(self, request: ServiceRequest, key: UUID) -> Response:
        """Give another person a role from today on or later; it counts from the next request on."""
        body = {"ends_on": None, **parsed(RoleBody, request).validated_data}
        site = site_in_body(body.pop("site", None), "/site")
        role = grant_role(
            person_id=key, site_id=None if site is None else site.pk, actor=request.person, now=request.now, **body
        )
        return self.shown(role, 201)

    @extend_schema(request=LastDayBody, responses=RoleOut)
    def end(self, request: ServiceRequest, key: UUID, role: UUID) -> Response:
        """Let a role end with a day."""
        last = parsed(LastDayBody, request).validated_data["ends_on"]
        ended = end_role(person_id=key, role_id=role, ends_on=last, actor=request.person, now=request.now)
        return self.shown(ended)


class QualificationViewSet(ServiceViewSet):
    """Who may do what work, and by which evidence."""

    roles = {"list": READERS_OF_SKILLS, "retrieve": READERS_OF_SKILLS, "create": OFFICE, "end": OFFICE}
    filterset_class = QualificationFilter
    output = QualificationOut

    def get_queryset(self) -> QuerySet[Qualification]:
        """Return the qualifications that the caller may see."""
        return self.visible(qualifications_visible_to, Qualification).select_related("person")

    @extend_schema(responses=QualificationOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Qualifications; drivers and mechanics see their own."""
        return self.listed()

    @extend_schema(responses=QualificationOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One qualification."""
        return self.shown(self.row(self.get_queryset(), "qualification_unknown", pk=key))

    @extend_schema(request=QualificationBody, responses={201: QualificationOut})
    def create(self, request: ServiceRequest) -> Response:
        """Record the evidence that a person may do a scope of work."""
        body = {"ends_on": None, **parsed(QualificationBody, request).validated_data}
        person = person_in_body(body.pop("person"), "/person")
        row = grant_qualification(person_id=person.pk, actor=request.person, now=request.now, **body)
        return self.created(row, f"{request.path}/{row.pk}")

    @extend_schema(request=LastDayBody, responses=QualificationOut)
    def end(self, request: ServiceRequest, key: UUID) -> Response:
        """Let a qualification end with a day."""
        last = parsed(LastDayBody, request).validated_data["ends_on"]
        row = end_qualification(qualification_id=key, ends_on=last, actor=request.person, now=request.now)
        return self.shown(row)
