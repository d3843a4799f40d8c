"""Roles of people over HTTP; they are read with the person."""

from datetime import date, datetime
from typing import Annotated, Any, Self
from uuid import UUID

from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.values import Word
from common.api.views import takes
from fleet.api.people.bodies import LastDayBody, RoleBody
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import code_of, site_in_body
from fleet.api.requests.roles import ADMINISTRATOR
from fleet.api.requests.views import ServiceViewSet
from fleet.enums import Role
from fleet.models import PersonRole
from fleet.services.people.roles import end_role, grant_role


class RoleAnswer(Answer):
    """A role held from a day to a day, given and ended by whom; empty where that was not kept yet."""

    id: UUID
    role: Annotated[str, Word(Role)]
    site: str | None
    starts_on: date
    ends_on: date | None
    granted_by: PersonShort | None
    granted_at: datetime | None
    ended_by: PersonShort | None
    ended_at: datetime | None
    console_reason: str = Field(
        description="Why it was given at the server's console, where nobody second was asked; empty for others."
    )

    @classmethod
    def of_role(cls, role: PersonRole) -> Self:
        """Return a role with the code of its site."""
        return cls.of(role, site=code_of(role.site))


class PersonRoleViewSet(ServiceViewSet):
    """The roles of one person; they are read with the person."""

    roles = {"create": ADMINISTRATOR, "end": ADMINISTRATOR}
    shows = RoleAnswer
    queryset = PersonRole.objects.select_related("site", "granted_by", "ended_by")
    tag = "people-roles"

    def answer_of(self, row: Any) -> RoleAnswer:
        return RoleAnswer.of_role(row)

    @takes(RoleBody)
    def create(self, request: ServiceRequest, body: RoleBody, key: UUID) -> Response:
        """Give another person a role from today on or later; it counts from the next request on."""
        site = site_in_body(body.site, "/site")
        role = grant_role(
            person_id=key,
            role=body.role,
            site_id=None if site is None else site.pk,
            starts_on=body.starts_on,
            ends_on=body.ends_on,
            actor=request.person,
            now=request.now,
        )
        return self.shown(role, 201)

    @takes(LastDayBody)
    def end(self, request: ServiceRequest, body: LastDayBody, key: UUID, role: UUID) -> Response:
        """Let a role end with a day."""
        ended = end_role(person_id=key, role_id=role, ends_on=body.ends_on, actor=request.person, now=request.now)
        return self.shown(ended)
