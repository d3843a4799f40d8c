"""Pages walk a list forwards and backwards without skipping or repeating a row, at the cost of one statement each."""

from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.db.models import QuerySet
from django.test import Client
from django.urls import path
from pytest_django import DjangoAssertNumQueries
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.pagination import CursorPagination
from common.api.permissions import ANY_ROLE
from common.api.views import ApiViewSet
from fleet.models import Person, PersonRole
from tests.factories.fleet import PersonRoleFactory
from tests.support.callers import HeaderAuthentication, signed_in

pytestmark = [pytest.mark.urls(__name__), pytest.mark.django_db]
ANA = signed_in("ana", "driver")


class People(ApiViewSet):
    """People by name; many share one."""

    authentication_classes = (HeaderAuthentication,)
    pagination_class = CursorPagination
    queryset: QuerySet[Any] = Person.objects.all()
    roles = {"list": ANY_ROLE}
    ordering: tuple[str, ...] = ("name",)

    def list(self, request: Request) -> Response:
        page = self.paginate_queryset(self.get_queryset())
        assert page is not None
        return self.get_paginated_response([f"{row.name}{row.phone}" for row in page])


class Newest(People):
    """By the key alone, newest first."""

    ordering = ("-pk",)


class Mixed(People):
    """Names falling, telephones rising."""

    ordering = ("-name", "phone")


class ByPerson(People):
    """Across a relation."""

    queryset = PersonRole.objects.all()
    ordering = ("person__name",)

    def list(self, request: Request) -> Response:
        page = self.paginate_queryset(self.get_queryset().select_related("person"))
        assert page is not None
        return self.get_paginated_response([row.person.name for row in page])


class Nullable(People):
    """By a column that may be null."""

    ordering = ("username",)


class Unknown(People):
    """By a column that is not there."""

    ordering = ("nothing",)


urlpatterns = [
    path(view.__name__.lower(), view.as_view({"get": "list"}))
    for view in (People, Newest, Mixed, ByPerson, Nullable, Unknown)
]


@pytest.fixture
def people() -> list[str]:
    """Twelve people in order of their keys, four of each name."""
    rows = [Person(name="abc"[number % 3], phone=str(number)) for number in range(12)]
    for row in rows:
        row.save()
    return [f"{row.name}{row.phone}" for row in rows]


def walk(client: Client, url: str | None, relation: str = "next") -> list[list[str]]:
    pages = []
    while url is not None:
        response = client.get(url, headers=ANA)
        assert response.status_code == 200, response.content
        pages.append(response.json()["results"])
        url = response.json()[relation]
    return pages


def flat(pages: list[list[str]]) -> list[str]:
    return [row for page in pages for row in page]


@pytest.mark.parametrize("limit", [1, 2, 3, 4, 5, 11, 12, 13])
def test_walk_forwards__every_row_once_in_order(client: Client, people: list[str], limit: int) -> None:
    pages = walk(client, f"/people?limit={limit}")
    assert flat(pages) == sorted(people, key=lambda row: (row[0], people.index(row)))
    assert [len(page) for page in pages] == [limit] * (12 // limit) + ([12 % limit] if 12 % limit else [])


@pytest.mark.parametrize("address", ["people", "newest", "mixed"])
@pytest.mark.parametrize("limit", [1, 2, 5])
def test_walk_backwards__the_same_rows(client: Client, people: list[str], address: str, limit: int) -> None:
    forwards = walk(client, f"/{address}?limit={limit}")
    url: str | None = f"/{address}?limit={limit}"
    last = url
    while url is not None:
        last, url = url, client.get(url, headers=ANA).json()["next"]
    backwards = walk(client, last, "previous")
    assert flat(backwards[::-1]) == flat(forwards)
    assert len(backwards) == len(forwards)


def test_there_and_back_again__the_page_one_came_from(client: Client, people: list[str]) -> None:
    first = client.get("/people?limit=4", headers=ANA).json()
    second = client.get(first["next"], headers=ANA).json()
    back = client.get(second["previous"], headers=ANA).json()
    assert (back["results"], back["previous"]) == (first["results"], None)
    assert client.get(back["next"], headers=ANA).json()["results"] == second["results"]


def test_newest_first__by_key(client: Client, people: list[str]) -> None:
    assert flat(walk(client, "/newest?limit=5")) == people[::-1]


def test_mixed_directions__each_column_its_own(client: Client, people: list[str]) -> None:
    expected = sorted(sorted(people, key=lambda row: row[1:]), key=lambda row: row[0], reverse=True)
    assert flat(walk(client, "/mixed?limit=5")) == expected


def test_across_a_relation__in_order_of_the_other_row(client: Client, people: list[str]) -> None:
    for person in Person.objects.order_by("-phone"):
        PersonRoleFactory.create(person=person)
    assert flat(walk(client, "/byperson?limit=5")) == ["a"] * 4 + ["b"] * 4 + ["c"] * 4


def test_rows_that_come_and_go__shift_no_page(client: Client, people: list[str]) -> None:
    first = client.get("/newest?limit=4", headers=ANA).json()
    Person(name="z", phone="new").save()
    Person.objects.get(phone="11").delete()
    assert client.get(first["next"], headers=ANA).json()["results"] == people[7:3:-1]


def test_links__in_the_header_as_in_the_body(client: Client, people: list[str]) -> None:
    first = client.get("/people?limit=5", headers=ANA)
    middle = client.get(first.json()["next"], headers=ANA)
    address = "http://testserver/people?limit=5"
    assert first.headers["Link"] == f'<{address}>; rel="first", <{first.json()["next"]}>; rel="next"'
    assert first.json()["previous"] is None
    assert middle.headers["Link"] == (
        f'<{address}>; rel="first", <{middle.json()["next"]}>; rel="next", <{middle.json()["previous"]}>; rel="prev"'
    )
    assert client.get(middle.json()["next"], headers=ANA).json()["next"] is None


def test_empty_list__one_empty_page(client: Client) -> None:
    response = client.get("/people", headers=ANA)
    assert response.json() == {"results": [], "next": None, "previous": None}
    assert response.headers["Link"] == '<http://testserver/people>; rel="first"'


def test_each_page__one_statement_however_many_rows(
    client: Client, people: list[str], django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for limit in (2, 10):
        with django_assert_num_queries(1):
            url = client.get(f"/people?limit={limit}", headers=ANA).json()["next"]
        with django_assert_num_queries(1):
            client.get(url, headers=ANA)


def test_no_limit_given__fifty(client: Client) -> None:
    Person.objects.bulk_create(Person(name="a") for _ in range(201))
    assert len(client.get("/people", headers=ANA).json()["results"]) == 50
    assert len(client.get("/people?limit=200", headers=ANA).json()["results"]) == 200


@pytest.mark.parametrize("limit", ["0", "201", "-1", "1.5", "x", "", "٣", "1000000000000", "+1", " 1"])
def test_limit_that_is_not_allowed__refused(client: Client, limit: str) -> None:
    response = client.get("/people", {"limit": limit}, headers=ANA)
    found = response.json()
    assert (response.status_code, found["code"]) == (400, "invalid_parameter")
    assert found["errors"] == [
        {
            "parameter": "limit",
            "code": "page_limit",
            "detail": "The limit must be a whole number from 1 to 200.",
            "max_limit": 200,
        }
    ]


def cursor_of(url: str) -> str:
    [cursor] = parse_qs(urlsplit(url).query)["cursor"]
    return cursor


def test_cursor_that_is_not_ours__refused(client: Client, people: list[str]) -> None:
    good = cursor_of(client.get("/people?limit=1", headers=ANA).json()["next"])
    of_another_list = cursor_of(client.get("/newest?limit=1", headers=ANA).json()["next"])
    assert client.get("/people", {"cursor": good}, headers=ANA).status_code == 200
    cut, turned = good[:-2], good[:-1] + ("A" if good[-1] != "A" else "B")
    for cursor in ("", "x", "a:b", cut, turned, of_another_list):
        response = client.get("/people", {"cursor": cursor}, headers=ANA)
        found: dict[str, Any] = response.json()
        assert (response.status_code, found["code"]) == (400, "bad_cursor")
        assert [error["parameter"] for error in found["errors"]] == ["cursor"]


@pytest.mark.parametrize("address", ["/nullable", "/unknown"])
def test_ordering_that_cannot_be_paged__a_mistake_in_the_code(client: Client, address: str) -> None:
    with pytest.raises(ImproperlyConfigured):
        client.get(address, headers=ANA)
