"""Who may do what work, over HTTP, and by which evidence."""

from datetime import date, datetime
from typing import Annotated, Any
from uuid import UUID

from django.db.models import Q, QuerySet
from django_filters import rest_framework as filters
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.filter_kinds import DayFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Word
from common.api.views import takes
from fleet.api.people.bodies import LastDayBody, QualificationBody
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import PersonRefFilter
from fleet.api.requests.references import person_in_body
from fleet.api.requests.roles import OFFICE, READERS_OF_SKILLS
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.enums import Scope
from fleet.models import Qualification
from fleet.models.base import choices
from fleet.selectors.people.visible import qualifications_visible_to
from fleet.services.people.roles import end_qualification, grant_qualification


class QualificationAnswer(Answer):
    """A qualification with its evidence."""

    id: UUID
    person: PersonShort
    scope: Annotated[str, Word(Scope)]
    evidence: str
    starts_on: date
    ends_on: date | None
    recorded_at: datetime


def holds_on(queryset: QuerySet[Any], _name: str, day: date) -> QuerySet[Any]:
    """Return the rows whose days include one, last day included."""
    return queryset.filter(starts_on__lte=day).filter(Q(ends_on__isnull=True) | Q(ends_on__gte=day))


class QualificationFilter(StrictFilterSet):
    person = PersonRefFilter()
    scope = filters.ChoiceFilter(choices=choices(Scope))
    on = DayFilter(method=holds_on)
    since, until = within("recorded_at")


class QualificationViewSet(ListMixin, ReadMixin):
    """Qualifications; drivers and mechanics see their own."""

    roles = {"list": READERS_OF_SKILLS, "retrieve": READERS_OF_SKILLS, "create": OFFICE, "end": OFFICE}
    filterset_class = QualificationFilter
    shows = QualificationAnswer
    unknown = "qualification_unknown"

    def get_queryset(self) -> QuerySet[Qualification]:
        return self.visible(qualifications_visible_to, Qualification).select_related("person")

    @takes(QualificationBody)
    def create(self, request: ServiceRequest, body: QualificationBody) -> Response:
        """Record the evidence that a person may do a scope of work."""
        row = grant_qualification(
            person_id=person_in_body(body.person, "/person").pk,
            scope=body.scope,
            evidence=body.evidence,
            starts_on=body.starts_on,
            ends_on=body.ends_on,
            actor=request.person,
            now=request.now,
        )
        return self.created(row, f"{request.path}/{row.pk}")

    @takes(LastDayBody)
    def end(self, request: ServiceRequest, body: LastDayBody, key: UUID) -> Response:
        """Let a qualification end with a day."""
        row = end_qualification(qualification_id=key, ends_on=body.ends_on, actor=request.person, now=request.now)
        return self.shown(row)
