"""People, with or without a sign-in."""

from uuid import UUID

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from common.api.permissions import ANY_ROLE
from fleet.api.base import ServiceViewSet
from fleet.api.filters import PersonFilter
from fleet.api.names import site_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import OFFICE
from fleet.api.serializers.people import LeaveBody, NewPersonBody, PasswordBody, PersonBody, PersonOut
from fleet.enums import Role
from fleet.models import Person, PersonRole
from fleet.selectors.carrier.carrier import carriers_day
from fleet.selectors.people.visible import people_visible_to
from fleet.services.people.people import create_person, edit_person, leave, set_password
from fleet.transitions import PERSON


def with_roles(people: QuerySet[Person]) -> QuerySet[Person]:
    """Return the people with all that is shown of them."""
    roles = PersonRole.objects.select_related("site", "granted_by", "ended_by").order_by("starts_on", "pk")
    return people.select_related("home_site").prefetch_related(Prefetch("roles", roles))


class PersonViewSet(ServiceViewSet):
    """Adding, reading and editing people, and what ends their sessions."""

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
    output = PersonOut

    def get_queryset(self) -> QuerySet[Person]:
        """Return the people whom the caller may see."""
        return with_roles(self.visible(people_visible_to, Person))

    @extend_schema(responses=PersonOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """People by name; drivers and mechanics see themselves."""
        return self.listed()

    @extend_schema(responses=PersonOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One person."""
        return self.shown(self.row(self.get_queryset(), "person_unknown", pk=key))

    @extend_schema(request=NewPersonBody, responses={201: PersonOut})
    def create(self, request: ServiceRequest) -> Response:
        """Add a person; only an administrator gives a sign-in."""
        body = parsed(NewPersonBody, request)
        password = body.validated_data.pop("password", None)
        person = create_person(facts=_facts(body), password=password, actor=request.person)
        return self.created(self._again(person), f"{request.path}/{person.pk}")

    @extend_schema(request=PersonBody, responses=PersonOut)
    def partial_update(self, request: ServiceRequest, key: UUID) -> Response:
        """Change what is given."""
        body = parsed(PersonBody, request, partial=True)
        version = expected_version(request)
        person = edit_person(
            person_id=key, version=version, changes=_facts(body), actor=request.person, now=request.now
        )
        return self.shown(self._again(person))

    @extend_schema(request=PasswordBody, responses=PersonOut)
    def set_password(self, request: ServiceRequest, key: UUID) -> Response:
        """Give a person a new password; every device must sign in again."""
        password = parsed(PasswordBody, request).validated_data["password"]
        version = expected_version(request)
        person = set_password(person_id=key, version=version, password=password, actor=request.person, now=request.now)
        return self.shown(self._again(person))

    @extend_schema(request=LeaveBody, responses=PersonOut)
    def leave(self, request: ServiceRequest, key: UUID) -> Response:
        """Record that a person left; every session ends at once."""
        person = leave(
            person_id=key,
            version=expected_version(request),
            left_on=parsed(LeaveBody, request).validated_data["left_on"],
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.shown(self._again(person))

    def _again(self, person: Person) -> Person:
        return with_roles(Person.objects.all()).get(pk=person.pk)


def _facts(body: PersonBody) -> dict[str, object]:
    """The columns of a body, its site found by code where one was given."""
    facts = dict(body.validated_data)
    if "home_site" in facts:
        facts["home_site"] = site_in_body(facts["home_site"], "/home_site")
    return facts
