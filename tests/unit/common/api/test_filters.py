"""A query parameter that is not known, not allowed or given twice is refused; the answer never ignores one."""

from typing import Any
from urllib.parse import unquote

import pytest
from django.db.models import QuerySet
from django.test import Client
from django.urls import path
from django_filters import rest_framework as django_filters
from pydantic_core import PydanticCustomError
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.filter_kinds import DayFilter, InstantFilter
from common.api.filters import StrictFilterSet
from common.api.pagination import CursorPagination
from common.api.permissions import ANY_ROLE
from common.api.values import InstantValue
from common.api.views import ApiView, ApiViewSet
from fleet.models import Person
from tests.support.callers import HeaderAuthentication, signed_in

pytestmark = pytest.mark.urls(__name__)
ANA = signed_in("ana", "driver")


class PersonFilters(StrictFilterSet):
    """One filter of each kind; `name` may be given twice."""

    firm = django_filters.CharFilter()
    left_on = DayFilter()
    left_since = InstantFilter(field_name="left_on", lookup_expr="gte")
    language = django_filters.MultipleChoiceFilter(choices=[("en", "en"), ("es", "es")])


class CsvRenderer(JSONRenderer):
    """A second form of answer."""

    format = "csv"
    media_type = "text/csv"


class People(ApiViewSet):
    """Shows the statement that a query leads to, without sending it."""

    authentication_classes = (HeaderAuthentication,)
    filterset_class = PersonFilters
    pagination_class = CursorPagination
    queryset = Person.objects.none()
    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE}
    query_parameters = {"retrieve": frozenset({"as_of"})}

    def list(self, request: Request) -> Response:
        rows = self.filter_queryset(Person.objects.only("pk"))
        assert isinstance(rows, QuerySet)
        return Response({"where": str(rows.query).partition("WHERE ")[2]})

    def retrieve(self, request: Request) -> Response:
        return Response({"as_of": request.query_params.get("as_of")})


class Plain(ApiView):
    """A view without filters, in two forms."""

    authentication_classes = (HeaderAuthentication,)
    renderer_classes = (JSONRenderer, CsvRenderer)
    roles = {"get": ANY_ROLE}

    def get(self, request: Request) -> Response:
        return Response({})


urlpatterns = [
    path("people", People.as_view({"get": "list"})),
    path("people/1", People.as_view({"get": "retrieve"})),
    path("plain", Plain.as_view()),
]


def test_known_filter__applied(client: Client) -> None:
    response = client.get("/people?firm=Tires&cursor=x&limit=5", headers=ANA)
    assert (response.status_code, response.json()) == (200, {"where": '"fleet_person"."firm" = Tires'})


def test_filter_that_may_be_given_twice__both_applied(client: Client) -> None:
    where = client.get("/people?language=en&language=es", headers=ANA).json()["where"]
    assert set(where.strip("()").split(" OR ")) == {'"fleet_person"."language" = en', '"fleet_person"."language" = es'}


@pytest.mark.parametrize(
    ("address", "unknown", "known"),
    [
        ("/people?frim=x&zzz=1", ["frim", "zzz"], ["cursor", "firm", "language", "left_on", "left_since", "limit"]),
        ("/people?format=json", ["format"], ["cursor", "firm", "language", "left_on", "left_since", "limit"]),
        ("/people/1?firm=x", ["firm"], ["as_of"]),
        ("/people/1?limit=1", ["limit"], ["as_of"]),
        ("/plain?as_of=1", ["as_of"], ["format"]),
    ],
)
def test_unknown_parameter__refused_with_what_is_known(
    client: Client, address: str, unknown: list[str], known: list[str]
) -> None:
    response = client.get(address, headers=ANA)
    found = response.json()
    assert (response.status_code, found["code"]) == (400, "unknown_parameter")
    assert (found["unknown"], found["known"]) == (unknown, known)
    assert [error["parameter"] for error in found["errors"]] == unknown


def test_parameter_of_the_action_or_the_form__taken(client: Client) -> None:
    assert client.get("/people/1?as_of=now", headers=ANA).json() == {"as_of": "now"}
    assert client.get("/plain?format=csv", headers=ANA).status_code == 200


def test_parameter_given_twice__refused(client: Client) -> None:
    found = client.get("/people?firm=a&firm=b", headers=ANA).json()
    assert (found["status"], found["code"], found["name"]) == (400, "repeated_parameter", "firm")
    assert [error["parameter"] for error in found["errors"]] == ["firm"]


@pytest.mark.parametrize(
    ("query", "errors"),
    [
        (
            "left_on=soon",
            [{"parameter": "left_on", "code": "not_a_day", "detail": "A date is expected, such as 2026-11-25."}],
        ),
        (
            "language=xx&left_on=1",
            [
                {"parameter": "left_on", "code": "not_a_day", "detail": "A date is expected, such as 2026-11-25."},
                {
                    "parameter": "language",
                    "code": "invalid_choice",
                    "detail": "Invalid choice. Use one of: en, es.",
                    "allowed": ["en", "es"],
                },
            ],
        ),
        ("firm=a%00b", [{"parameter": "firm", "code": "text_nul", "detail": "The text contains a NUL character."}]),
    ],
)
def test_value_that_is_not_allowed__each_parameter_named(
    client: Client, query: str, errors: list[dict[str, Any]]
) -> None:
    response = client.get(f"/people?{query}", headers=ANA)
    found = response.json()
    assert (response.status_code, found["code"], found["errors"]) == (400, "invalid_parameter", errors)


@pytest.mark.parametrize(
    "given",
    [
        "1899-12-31T23:59:59Z",
        "2199-12-31T00:00:01Z",
        "0001-01-01T00:00:00%2B14:00",
        "9999-12-31T23:59:59-14:00",
        "2026-W48-1T06:00:00Z",
        "2026-11-30T06:00:00%2B0600",
        "\uff12026-11-30T06:00:00Z",
        "2026-11-30",
        "2026-11-30T06:00:00",
    ],
)
def test_instant_that_is_none_or_out_of_reach__refused_as_in_a_body(client: Client, given: str) -> None:
    found = client.get(f"/people?left_since={given}", headers=ANA).json()
    assert (found["status"], found["code"]) == (400, "invalid_parameter")
    with pytest.raises(PydanticCustomError) as of_body:
        InstantValue().read(unquote(given))
    assert [(error["parameter"], error["code"]) for error in found["errors"]] == [("left_since", of_body.value.type)]


@pytest.mark.parametrize("given", ["2026-11-24t06:11:00z", "2026-11-24T06:11:00.123456789Z"])
def test_instant_in_any_spelling_of_rfc_3339__the_same_as_in_a_body(client: Client, given: str) -> None:
    assert client.get(f"/people?left_since={given}", headers=ANA).status_code == 200


@pytest.mark.parametrize("given", ["2026-11-25T06:10:00%2B23:59", "2026-11-24T06:11:00Z"])
def test_instant_in_an_offset_that_no_zone_has__the_same_in_utc(client: Client, given: str) -> None:
    where = client.get(f"/people?left_since={given}", headers=ANA).json()["where"]
    assert where == '"fleet_person"."left_on" >= 2026-11-24'


def test_stranger_with_a_wrong_parameter__told_to_sign_in_only(client: Client) -> None:
    assert client.get("/people?frim=x").status_code == 401
