"""The OpenAPI document says what the base of the views does: problems, headers, roles; objects list their members."""

from decimal import Decimal
from typing import Annotated, Any

import pytest
from django.urls import URLPattern, path
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.utils import extend_schema
from drf_spectacular.validation import validate_schema
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.pagination import CursorPagination
from common.api.permissions import ANONYMOUS, ANY_ROLE
from common.api.values import DecimalText, Flag, Instant, Sha256, Text, Uuid, Whole
from common.api.views import ApiView, ApiViewSet, takes
from fleet.models import Person
from tests.support.callers import HeaderAuthentication


class ReadingBody(Body):
    """One value of each kind."""

    id: Uuid
    note: Annotated[str, Text(20)]
    sealed: Flag
    miles: Annotated[int, Whole()]
    fuel_gal: Annotated[Decimal, DecimalText(6, 1)]
    read_at: Instant
    photo: Sha256


class Reading(Answer):
    """A reading."""

    note: str


class Readings(ApiViewSet):
    """Readings of meters."""

    authentication_classes = (HeaderAuthentication,)
    shows = Reading
    pagination_class = CursorPagination
    queryset = Person.objects.none()
    roles = {
        "list": ANY_ROLE,
        "create": frozenset({"foreman", "driver"}),
        "retrieve": ANY_ROLE,
        "partial_update": frozenset({"foreman"}),
    }
    if_match = frozenset({"partial_update"})

    def list(self, request: Request) -> Response:
        """All readings."""
        return Response()

    def create(self, request: Request) -> Response:
        return Response()

    def retrieve(self, request: Request, pk: str) -> Response:
        return Response()

    def partial_update(self, request: Request, pk: str) -> Response:
        return Response()


class SignIn(ApiView):
    """Open to everybody."""

    idempotency = "none"
    roles = {"post": ANONYMOUS}
    tag = "sign-in"

    @extend_schema(responses={201: Reading})
    @takes(ReadingBody)
    def post(self, request: Request, body: ReadingBody) -> Response:
        return Response()


PATTERNS = [
    path("api/v1/sign-in", SignIn.as_view()),
    path("api/v1/meter-readings", Readings.as_view({"get": "list", "post": "create"})),
    path("api/v1/meter-readings/<str:pk>", Readings.as_view({"get": "retrieve", "patch": "partial_update"})),
]


def generated(patterns: list[URLPattern]) -> dict[str, Any]:
    generator = SchemaGenerator(patterns=patterns)  # type: ignore[no-untyped-call]  # the library's own
    found: dict[str, Any] = generator.get_schema(request=None, public=True)  # type: ignore[no-untyped-call]
    return found


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    return generated(PATTERNS)


def operation(document: dict[str, Any], method: str, address: str) -> dict[str, Any]:
    found: dict[str, Any] = document["paths"][f"/api/v1/{address}"][method]
    return found


def headers(operation: dict[str, Any]) -> set[str]:
    return set(parameters(operation)) - {"cursor", "limit", "pk"}


def parameters(operation: dict[str, Any]) -> list[str]:
    return [each.get("name", each.get("$ref", "").rpartition("/")[2]) for each in operation["parameters"]]


def test_document__valid_openapi_3_1(document: dict[str, Any]) -> None:
    assert document["openapi"] == "3.1.1"
    validate_schema(document)  # type: ignore[no-untyped-call]  # the library's own


@pytest.mark.parametrize(
    ("method", "address", "statuses"),
    [
        ("get", "meter-readings", {"200", "304", "400", "401", "403", "406", "412", "414", "500", "503"}),
        (
            "post",
            "meter-readings",
            {"201", "400", "401", "403", "406", "409", "413", "414", "415", "422", "500", "503"},
        ),
        (
            "get",
            "meter-readings/{pk}",
            {"200", "304", "400", "401", "403", "404", "406", "412", "414", "500", "503"},
        ),
        (
            "patch",
            "meter-readings/{pk}",
            {"200", "400", "401", "403", "404", "406", "409", "412", "413", "414", "415", "422", "428", "500", "503"},
        ),
        ("post", "sign-in", {"201", "400", "406", "409", "413", "414", "415", "422", "500", "503"}),
    ],
)
def test_operation__each_status_it_may_answer(
    document: dict[str, Any], method: str, address: str, statuses: set[str]
) -> None:
    answers = operation(document, method, address)["responses"]
    assert set(answers) == statuses
    for status in statuses - {"200", "201", "304"}:
        assert answers[status]["$ref"] == f"#/components/responses/Problem{status}"
        problem = document["components"]["responses"][f"Problem{status}"]
        assert problem["content"] == {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}


def test_headers__where_they_are_needed_and_only_there(document: dict[str, Any]) -> None:
    assert headers(operation(document, "post", "meter-readings")) == {"Idempotency-Key"}
    assert headers(operation(document, "patch", "meter-readings/{pk}")) == {"If-Match"}
    assert headers(operation(document, "get", "meter-readings")) == {"If-None-Match"}
    assert "parameters" not in operation(document, "post", "sign-in")


def test_shared_parameters__stand_once(document: dict[str, Any]) -> None:
    shared = document["components"]["parameters"]
    assert list(shared) == ["Idempotency-Key", "If-Match", "If-None-Match", "cursor", "limit"]
    assert shared["If-Match"]["required"]
    assert "required" not in shared["If-None-Match"]


def test_headers_of_answers__by_what_the_view_does(document: dict[str, Any]) -> None:
    def told(method: str, address: str, status: str) -> set[str]:
        return set(operation(document, method, address)["responses"][status]["headers"])

    assert told("get", "meter-readings", "200") == {"ETag", "Link", "X-Request-Id"}
    assert told("get", "meter-readings", "304") == {"ETag", "X-Request-Id"}
    assert told("post", "meter-readings", "201") == {"Idempotency-Replayed", "X-Request-Id"}
    problem = document["components"]["responses"]["Problem503"]
    assert set(problem["headers"]) == {"Link", "Retry-After", "X-Request-Id"}
    assert set(document["components"]["headers"]) >= set(problem["headers"])


def test_problem_codes__those_of_the_base_where_it_asks_for_something(document: dict[str, Any]) -> None:
    def codes(method: str, address: str, status: str) -> str:
        said: str = operation(document, method, address)["responses"][status]["description"]
        return said

    assert "`idempotency_key_required`" in codes("post", "meter-readings", "400")
    assert "`idempotency_key_required`" not in codes("patch", "meter-readings/{pk}", "400")
    assert codes("patch", "meter-readings/{pk}", "428") == "Precondition Required: `if_match_required`."
    assert "`bad_cursor`" in codes("get", "meter-readings", "400")
    assert "`bad_cursor`" not in codes("get", "meter-readings/{pk}", "400")


def test_page__cursor_and_limit_and_both_links(document: dict[str, Any]) -> None:
    listing = operation(document, "get", "meter-readings")
    assert parameters(listing) == ["If-None-Match", "cursor", "limit"]
    schema = document["components"]["schemas"]["PaginatedReadingList"]
    assert schema["required"] == ["results", "next", "previous"]
    assert schema["properties"]["next"] == {"type": ["string", "null"], "format": "uri"}


def test_description__who_may_call(document: dict[str, Any]) -> None:
    listing = operation(document, "get", "meter-readings")
    assert (listing["summary"], listing["description"]) == ("All readings", "Roles: everyone with a role.")
    assert operation(document, "post", "meter-readings")["description"].endswith("Roles: driver, foreman.")
    assert operation(document, "post", "sign-in")["description"].endswith("Roles: open to everybody.")


def test_names_and_tags__from_the_address_unless_the_view_says_otherwise(document: dict[str, Any]) -> None:
    listing, sign_in = operation(document, "get", "meter-readings"), operation(document, "post", "sign-in")
    assert (listing["operationId"], listing["tags"]) == ("meter_readings_list", ["meter-readings"])
    assert (sign_in["operationId"], sign_in["tags"]) == ("sign_in_create", ["sign-in"])


def test_values__each_kind_in_openapi_s_words(document: dict[str, Any]) -> None:
    properties = document["components"]["schemas"]["ReadingBody"]["properties"]
    assert properties["id"] == {"type": "string", "format": "uuid"}
    assert properties["note"] == {"type": "string", "minLength": 1, "maxLength": 20}
    assert properties["sealed"] == {"type": "boolean"}
    assert properties["miles"] == {"type": "integer", "minimum": 0, "maximum": 2147483647}
    assert properties["fuel_gal"]["type"] == "string"
    assert properties["read_at"] == {"type": "string", "format": "date-time"}
    assert properties["photo"] == {"type": "string", "pattern": "^[0-9a-f]{64}$"}


def test_order__paths_answers_and_components_sorted(document: dict[str, Any]) -> None:
    assert list(document["paths"]) == sorted(document["paths"])
    assert list(document["components"]["schemas"]) == sorted(document["components"]["schemas"])
    answers = operation(document, "patch", "meter-readings/{pk}")["responses"]
    assert list(answers) == sorted(answers)


def test_order_of_loading__does_not_matter(document: dict[str, Any]) -> None:
    again = generated(PATTERNS[::-1])
    assert again == document
    assert [list(again), list(again["paths"])] == [list(document), list(document["paths"])]
