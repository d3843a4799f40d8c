"""People over HTTP, with or without a sign-in."""

from datetime import date
from typing import Annotated, Any, Self
from uuid import UUID

from django.conf import settings
from django.db.models import Prefetch, Q, QuerySet
from django_filters import rest_framework as filters
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.filter_kinds import FlagFilter, OpenFilter
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import Word
from common.api.views import expected_version, takes
from fleet.api.people.bodies import LeaveBody, NewPersonBody, PasswordBody, PersonBody, PersonChange
from fleet.api.people.roles import RoleAnswer
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import SiteRefFilter
from fleet.api.requests.references import code_of, site_in_body
from fleet.api.requests.roles import OFFICE
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.enums import Role
from fleet.models import Person, PersonRole
from fleet.models.base import choices
from fleet.selectors.carrier.carrier import carriers_day
from fleet.selectors.notifications.addresses import HAS_ADDRESS
from fleet.selectors.people.lookup import person_state
from fleet.selectors.people.visible import people_visible_to
from fleet.services.people.people import create_person, edit_person, leave, set_password
from fleet.transitions import PERSON


class PersonAnswer(Answer):
    """A person with every role, past ones among them."""

    id: UUID
    name: str
    username: str | None
    title: str
    firm: str
    email: str
    phone: str
    language: Annotated[str, Word([code for code, _ in settings.LANGUAGES])]
    home_site: str | None
    left_on: date | None
    roles: list[RoleAnswer]
    version: int
    allowed_actions: list[str]

    @classmethod
    def for_roles(cls, person: Person, roles: frozenset[str]) -> Self:
        """Return a person with what somebody of these roles may do with the entry now."""
        return cls.of(
            person,
            home_site=code_of(person.home_site),
            roles=[RoleAnswer.of_role(role) for role in person.roles.all()],
            allowed_actions=PERSON.allowed_actions(person_state(person), roles),
        )


class PersonFilter(StrictFilterSet):
    """People; those who left only when asked for."""

    name = filters.CharFilter(lookup_expr="icontains")
    role = filters.ChoiceFilter(choices=choices(Role), method="by_role")
    home_site = SiteRefFilter("home_site__code")
    open = OpenFilter(Q(left_on__isnull=True), by_default=True)
    has_address = FlagFilter(method="by_address")

    def by_address(self, queryset: QuerySet[Any], _name: str, value: bool) -> QuerySet[Any]:
        """Return those whom a message can reach, by mail or at an address to post to, or those whom none can."""
        return queryset.filter(HAS_ADDRESS) if value else queryset.exclude(HAS_ADDRESS)

    def by_role(self, queryset: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        """Return those who hold the role or held it, each once."""
        return queryset.filter(roles__role=value).distinct()


def with_roles(people: QuerySet[Person]) -> QuerySet[Person]:
    roles = PersonRole.objects.select_related("site", "granted_by", "ended_by").order_by("starts_on", "pk")
    return people.select_related("home_site").prefetch_related(Prefetch("roles", roles))


class PersonViewSet(ListMixin, ReadMixin):
    """People by name; drivers and mechanics see themselves."""

    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": OFFICE | {Role.FOREMAN},
        "partial_update": PERSON.roles_for("edit"),
        "set_password": PERSON.roles_for("set_password"),
        "leave": PERSON.roles_for("leave"),
    }
    if_match = frozenset({"partial_update", "set_password", "leave"})
    filterset_class = PersonFilter
    ordering = ("name",)
    shows = PersonAnswer
    unknown = "person_unknown"

    def get_queryset(self) -> QuerySet[Person]:
        return with_roles(self.visible(people_visible_to, Person))

    def answer_of(self, row: Any) -> PersonAnswer:
        return PersonAnswer.for_roles(row, self.caller_roles)

    @takes(NewPersonBody)
    def create(self, request: ServiceRequest, body: NewPersonBody) -> Response:
        """Add a person; only an administrator gives a sign-in."""
        person = create_person(facts=_facts(body), password=body.password, actor=request.person)
        return self.created(self._again(person), f"{request.path}/{person.pk}")

    @takes(PersonChange)
    def partial_update(self, request: ServiceRequest, body: PersonChange, key: UUID) -> Response:
        """Change what is given."""
        version = expected_version(request)
        person = edit_person(
            person_id=key, version=version, changes=_facts(body), actor=request.person, now=request.now
        )
        return self.shown(self._again(person))

    @takes(PasswordBody)
    def set_password(self, request: ServiceRequest, body: PasswordBody, key: UUID) -> Response:
        """Give a person a new password; every device must sign in again."""
        version = expected_version(request)
        person = set_password(
            person_id=key, version=version, password=body.password, actor=request.person, now=request.now
        )
        return self.shown(self._again(person))

    @takes(LeaveBody)
    def leave(self, request: ServiceRequest, body: LeaveBody, key: UUID) -> Response:
        """Record that a person left; every session ends at once."""
        person = leave(
            person_id=key,
            version=expected_version(request),
            left_on=body.left_on,
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.shown(self._again(person))

    def _again(self, person: Person) -> Person:
        return with_roles(Person.objects.all()).get(pk=person.pk)


def _facts(body: PersonBody) -> dict[str, object]:
    """The columns of a body, its site found by code where one was given."""
    facts = body.changes()
    facts.pop("password", None)
    if "home_site" in facts:
        facts["home_site"] = site_in_body(facts["home_site"], "/home_site")
    return facts
