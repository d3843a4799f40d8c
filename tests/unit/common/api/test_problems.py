"""Every way of going wrong is told as one problem document (RFC 9457), from views of either kind and from outside."""

import json
from collections.abc import Callable, Iterator
from typing import Annotated, Any
from urllib.parse import quote

import pytest
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.db import IntegrityError, InterfaceError, InternalError, OperationalError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.test import Client
from django.urls import path
from pytest_django import Settings
from rest_framework import exceptions as drf
from rest_framework.request import Request
from rest_framework.response import Response

from common import errors
from common.api.bodies import Body
from common.api.permissions import ANONYMOUS
from common.api.values import Whole
from common.api.views import ApiView
from common.errors import MOST_ERRORS, FieldProblem
from common.messages import Sentences
from tests.support.callers import HeaderAuthentication, signed_in
from tests.support.composing import contribute

pytestmark = pytest.mark.urls(__name__)

raised: list[BaseException] = []


class Note(Body):
    """A body with one field."""

    minutes: Annotated[int, Whole()]


class Failing(ApiView):
    """Raises what the test put aside."""

    authentication_classes = (HeaderAuthentication,)
    idempotency = "none"
    roles = {"get": ANONYMOUS, "post": ANONYMOUS, "delete": frozenset({"foreman"})}

    def get(self, request: Request) -> Response:
        if raised:
            raise raised[0]
        return Response({"fine": True})

    def post(self, request: Request) -> Response:
        return Response(Note.read(request))

    def delete(self, request: Request) -> Response:
        return Response(status=204)


def plain_view(request: HttpRequest) -> HttpResponseBase:
    if raised:
        raise raised[0]
    return HttpResponse("refused by hand", status=int(request.GET.get("status", "200")))


urlpatterns = [path("api", Failing.as_view()), path("plain", plain_view)]

handler400 = "common.api.problem_pages.bad_request"
handler403 = "common.api.problem_pages.permission_denied"
handler404 = "common.api.problem_pages.page_not_found"
handler500 = "common.api.problem_pages.server_error"


@pytest.fixture(autouse=True)
def _nothing_raised() -> Iterator[None]:
    raised.clear()
    yield
    raised.clear()


@pytest.fixture
def caller() -> Client:
    return Client(raise_request_exception=False, headers={"X-Request-Id": "t-1"})


def assert_problem(
    response: Any,
    status: int,
    code: str,
    detail: str,
    *,
    title: str,
    facts: dict[str, Any] | None = None,
    found: list[dict[str, Any]] | None = None,
) -> None:
    assert response.headers["Content-Type"] == "application/problem+json"
    assert json.loads(response.content) == {
        "type": f"/problems/{code}",
        "title": title,
        "status": status,
        "detail": detail,
        "instance": "t-1",
        "code": code,
        "errors": found or [],
        **(facts or {}),
    }
    assert response.status_code == status
    assert response.headers["Link"] == f'</problems/{code}>; rel="describedby"'
    assert response.headers["X-Request-Id"] == "t-1"


def database_error(kind: type[Exception], state: str | None, constraint: str | None = None) -> Exception:
    class Diagnostics:
        constraint_name = constraint

    class Cause(Exception):
        sqlstate = state
        diag = Diagnostics()

    error = kind("from the driver")
    error.__cause__ = Cause()
    return error


DOMAIN = [
    (errors.Unreadable("bad_request"), 400, "Bad request", "The request cannot be read."),
    (
        errors.NotSignedIn("authentication_failed"),
        401,
        "Authentication required",
        "The token is invalid or has expired.",
    ),
    (errors.NotAllowed("permission_denied"), 403, "Forbidden", "You are not allowed to do this."),
    (errors.NotFound("not_found"), 404, "Not found", "Not found, or not visible to you."),
    (errors.Conflict("row_in_the_way"), 409, "Conflict", "A conflicting record already exists."),
    (
        errors.PreconditionFailed("version_changed"),
        412,
        "Precondition failed",
        "It has changed since you read it. Read the current version first.",
    ),
    (errors.TooLarge("request_too_large"), 413, "Content too large", "The request is too large."),
    (errors.Invalid("invalid"), 422, "Validation failed", "Invalid value."),
    (
        errors.PreconditionRequired("if_match_required"),
        428,
        "Precondition required",
        "Send an If-Match header with the ETag of the version that you saw.",
    ),
    (errors.TooOften("throttled"), 429, "Too many requests", "Too many requests. Wait and try again."),
]


@pytest.mark.parametrize("address", ["/api", "/plain"])
@pytest.mark.parametrize(("error", "status", "title", "detail"), DOMAIN, ids=[type(row[0]).__name__ for row in DOMAIN])
def test_domain_error__its_status_code_and_sentence(
    caller: Client, address: str, error: errors.DomainError, status: int, title: str, detail: str
) -> None:
    raised.append(error)
    assert_problem(caller.get(address), status, error.code, detail, title=title)


def test_every_kind_of_domain_error__is_tried_above() -> None:
    tried = {type(row[0]) for row in DOMAIN} | {errors.Unavailable}
    assert set(errors.DomainError.__subclasses__()) == tried


def test_kind_of_an_apps_own__has_the_status_of_its_parent(caller: Client) -> None:
    class Held(errors.Conflict):
        """A conflict of one app."""

    raised.append(Held("row_in_the_way"))
    assert caller.get("/api").status_code == 409


def test_facts__members_of_the_document(caller: Client) -> None:
    raised.append(errors.Conflict("action_not_allowed", action="close", state="open", allowed_actions=["start"]))
    assert_problem(
        caller.get("/api"),
        409,
        "action_not_allowed",
        "Not possible while it is open.",
        title="Conflict",
        facts={"action": "close", "state": "open", "allowed_actions": ["start"]},
    )


def test_fields_of_a_domain_error__listed_with_pointer_code_and_sentence(caller: Client) -> None:
    long = FieldProblem("/note", "text_too_long", {"max_length": 3, "length": 5})
    raised.append(errors.Invalid("required_fields_missing", problems=[FieldProblem("/reason", "required"), long]))
    found: list[dict[str, Any]] = [
        {"pointer": "/reason", "code": "required", "detail": "This field is required."},
        {
            "pointer": "/note",
            "code": "text_too_long",
            "detail": "The text has 5 characters; the limit is 3.",
            "max_length": 3,
            "length": 5,
        },
    ]
    assert_problem(
        caller.get("/api"),
        422,
        "required_fields_missing",
        "Required fields are missing.",
        title="Validation failed",
        found=found,
    )


def test_retry_after__member_and_header(caller: Client) -> None:
    raised.append(errors.TooOften("throttled", retry_after=40))
    response = caller.get("/api")
    assert response.headers["Retry-After"] == "40"
    assert response.json()["retry_after"] == 40


def test_not_signed_in__says_how_to_sign_in(caller: Client) -> None:
    raised.append(errors.NotSignedIn("authentication_failed"))
    assert caller.get("/api").headers["WWW-Authenticate"] == "Bearer"


FRAMEWORK: list[tuple[Exception, int, str, str, str]] = [
    (drf.ParseError(), 400, "parse_error", "Bad request", "The body does not match its Content-Type."),
    (
        drf.NotAuthenticated(),
        401,
        "not_authenticated",
        "Authentication required",
        "Sign in first: send a token in the Authorization header.",
    ),
    (
        drf.AuthenticationFailed(),
        401,
        "authentication_failed",
        "Authentication required",
        "The token is invalid or has expired.",
    ),
    (drf.PermissionDenied(), 403, "permission_denied", "Forbidden", "You are not allowed to do this."),
    (drf.PermissionDenied(code="not_found"), 403, "not_found", "Forbidden", DOMAIN[3][3]),
    (drf.NotFound(), 404, "not_found", "Not found", "Not found, or not visible to you."),
    (Http404(), 404, "not_found", "Not found", "Not found, or not visible to you."),
    (PermissionDenied(), 403, "permission_denied", "Forbidden", "You are not allowed to do this."),
    (SuspiciousOperation(), 400, "bad_request", "Bad request", "The request cannot be read."),
    (RequestDataTooBig(), 413, "request_too_large", "Content too large", "The request is too large."),
]


@pytest.mark.parametrize(("error", "status", "code", "title", "detail"), FRAMEWORK)
def test_error_of_a_framework__the_same_form(
    caller: Client, error: Exception, status: int, code: str, title: str, detail: str
) -> None:
    raised.append(error)
    assert_problem(caller.get("/api"), status, code, detail, title=title)


def test_throttled_by_the_framework__says_when_to_come_back(caller: Client) -> None:
    raised.append(drf.Throttled(wait=12.3))
    response = caller.get("/api")
    assert (response.status_code, response.headers["Retry-After"]) == (429, "13")
    assert response.json()["code"] == "throttled"


DATABASE = [
    (database_error(OperationalError, "57014"), "database_busy", 1, "The service is busy. Try again in 1 seconds."),
    (database_error(OperationalError, "55P03"), "database_busy", 1, "The service is busy. Try again in 1 seconds."),
    (database_error(OperationalError, "40P01"), "database_busy", 1, "The service is busy. Try again in 1 seconds."),
    (database_error(OperationalError, "40001"), "database_busy", 1, "The service is busy. Try again in 1 seconds."),
    (database_error(InternalError, "25P03"), "database_busy", 1, "The service is busy. Try again in 1 seconds."),
    (
        database_error(OperationalError, "57P01"),
        "database_unavailable",
        5,
        "The service cannot reach its database. Try again in 5 seconds.",
    ),
    (
        OperationalError("connection refused"),
        "database_unavailable",
        5,
        "The service cannot reach its database. Try again in 5 seconds.",
    ),
    (
        InterfaceError("connection already closed"),
        "database_unavailable",
        5,
        "The service cannot reach its database. Try again in 5 seconds.",
    ),
]


@pytest.mark.parametrize("address", ["/api", "/plain"])
@pytest.mark.parametrize(("error", "code", "seconds", "detail"), DATABASE)
def test_lost_or_busy_database__unavailable_with_retry_after(
    caller: Client, address: str, error: Exception, code: str, seconds: int, detail: str
) -> None:
    raised.append(error)
    response = caller.get(address)
    facts = {"retry_after": seconds}
    assert_problem(response, 503, code, detail, title="Service unavailable", facts=facts)
    assert response.headers["Retry-After"] == str(seconds)


def test_registered_constraint__conflict_with_its_code(caller: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    contribute(monkeypatch, Sentences((), constraints={"larder_number_once": "unique"}))
    raised.append(database_error(IntegrityError, "23514", "larder_number_once"))
    response = caller.get("/api")
    assert_problem(response, 409, "unique", "This value is already in use.", title="Conflict")


@pytest.mark.parametrize("state", ["23505", "23P01"])
def test_row_in_the_way_of_an_unregistered_constraint__conflict(caller: Client, state: str) -> None:
    raised.append(database_error(IntegrityError, state, "nobody_knows"))
    detail = "A conflicting record already exists."
    assert_problem(caller.get("/api"), 409, "row_in_the_way", detail, title="Conflict")


@pytest.mark.parametrize("address", ["/api", "/plain"])
@pytest.mark.parametrize(
    "error", [database_error(IntegrityError, "23514", "nobody_knows"), database_error(IntegrityError, "23502")]
)
def test_row_that_the_database_does_not_take__try_again_and_logged(
    caller: Client, address: str, error: Exception, caplog: pytest.LogCaptureFixture
) -> None:
    raised.append(error)
    response = caller.get(address)
    detail = "It could not be stored. Send it again in 60 seconds."
    assert_problem(response, 503, "not_stored", detail, title="Service unavailable", facts={"retry_after": 60})
    assert [record.exc_info is not None for record in caplog.records if "stands for no code" in record.message] == [
        True
    ]


@pytest.mark.parametrize("address", ["/api", "/plain"])
@pytest.mark.parametrize("error", [ZeroDivisionError("a bug"), KeyError("a bug")])
def test_what_nobody_foresaw__error_without_its_text(caller: Client, address: str, error: Exception) -> None:
    raised.append(error)
    detail = "An internal error occurred. It is logged under the request ID."
    assert_problem(caller.get(address), 500, "error", detail, title="Internal server error")


def test_unknown_address__not_found(caller: Client) -> None:
    detail = "Not found, or not visible to you."
    assert_problem(caller.get("/nowhere"), 404, "not_found", detail, title="Not found")


def test_unknown_address_with_django_s_own_handler__the_same(caller: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(globals(), "handler404", "django.views.defaults.page_not_found")
    detail = "Not found, or not visible to you."
    assert_problem(caller.get("/nowhere"), 404, "not_found", detail, title="Not found")


def test_method_that_is_not_there__says_which_are(caller: Client) -> None:
    response = caller.put("/api")
    detail = "PUT is not allowed here."
    facts = {"method": "PUT"}
    assert_problem(response, 405, "method_not_allowed", detail, title="Method not allowed", facts=facts)
    assert response.headers["Allow"] == "GET, POST, DELETE, HEAD"


def test_form_of_answer_that_is_not_there__not_acceptable_as_a_problem(caller: Client) -> None:
    response = caller.get("/api", headers={"Accept": "text/csv"})
    detail = "No media type in the Accept header is available."
    assert_problem(response, 406, "not_acceptable", detail, title="Not acceptable")


def test_body_of_another_type__unsupported(caller: Client) -> None:
    response = caller.post("/api", "a=1", content_type="application/x-www-form-urlencoded")
    detail = "This Content-Type is not supported."
    assert_problem(response, 415, "unsupported_media_type", detail, title="Unsupported media type")


def test_body_too_large__says_how_much_is_taken(caller: Client) -> None:
    response = caller.post("/api", "{" + " " * 1024 * 1024, content_type="application/json")
    detail = "The body is larger than 1048576 bytes."
    facts = {"max_bytes": 1048576}
    assert_problem(response, 413, "body_too_large", detail, title="Content too large", facts=facts)


def test_body_that_is_no_json__says_where(caller: Client) -> None:
    response = caller.post("/api", '{"a"', content_type="application/json")
    detail = "The body is not JSON; reading stopped at line 1, column 5."
    facts = {"line": 1, "column": 5}
    assert_problem(response, 400, "json_malformed", detail, title="Bad request", facts=facts)


def test_body_with_a_double_name__pointer(caller: Client) -> None:
    response = caller.post("/api", '{"a": 1, "a": 2}', content_type="application/json")
    detail = "Duplicate key a."
    found = [{"pointer": "/a", "code": "json_duplicate_key", "detail": detail, "name": "a"}]
    assert_problem(response, 400, "json_duplicate_key", detail, title="Bad request", facts={"name": "a"}, found=found)


def test_value_refused_by_a_body__pointer_and_code(caller: Client) -> None:
    response = caller.post("/api", '{"minutes": "soon", "extra": 1}', content_type="application/json")
    found: list[dict[str, Any]] = [
        {"pointer": "/minutes", "code": "not_whole", "detail": "A whole number is expected."},
        {"pointer": "/extra", "code": "unknown_field", "detail": "Unknown field. Use: minutes.", "known": ["minutes"]},
    ]
    assert_problem(response, 422, "invalid", "Invalid value.", title="Validation failed", found=found)


def test_more_wrong_than_anybody_reads__the_first_are_told(caller: Client) -> None:
    """A small body could ask for an answer many times its size."""
    body = {f"x{count}": 0 for count in range(500)}
    response = caller.post("/api", json.dumps(body), content_type="application/json")
    assert response.status_code == 422
    assert len(response.json()["errors"]) == MOST_ERRORS


def test_stranger_where_a_role_is_needed__not_authenticated(caller: Client) -> None:
    response = caller.delete("/api")
    detail = "Sign in first: send a token in the Authorization header."
    assert_problem(response, 401, "not_authenticated", detail, title="Authentication required")
    assert response.headers["WWW-Authenticate"] == "Bearer"


def test_another_role__role_not_allowed(caller: Client) -> None:
    response = caller.delete("/api", headers=signed_in("ana", "driver"))
    detail = "Your roles do not allow this. It is for: foreman."
    assert_problem(response, 403, "role_not_allowed", detail, title="Forbidden", facts={"roles": ["foreman"]})


@pytest.mark.parametrize(
    ("status", "code", "title"),
    [
        (400, "bad_request", "Bad request"),
        (401, "not_authenticated", "Authentication required"),
        (410, "bad_request", "Gone"),
        (413, "request_too_large", "Content too large"),
        (500, "error", "Internal server error"),
        (502, "error", "Bad gateway"),
    ],
)
def test_bare_error_answer_of_a_plain_view__rewritten(caller: Client, status: int, code: str, title: str) -> None:
    response = caller.get(f"/plain?status={status}")
    assert response.headers["Content-Type"] == "application/problem+json"
    found = response.json()
    assert (response.status_code, found["status"], found["code"], found["title"]) == (status, status, code, title)


def test_host_that_is_not_ours__bad_request_as_a_problem(caller: Client) -> None:
    response = caller.get("/plain", headers={"Host": "elsewhere.example"})
    detail = "The request cannot be read."
    assert_problem(response, 400, "bad_request", detail, title="Bad request")


def test_error_while_debugging__a_problem_too(caller: Client, settings: Settings) -> None:
    settings.DEBUG = True
    raised.append(ZeroDivisionError("a bug"))
    assert caller.get("/plain").json()["code"] == "error"


def test_foreseen_exception_of_a_plain_view_while_debugging__told_as_ever(caller: Client, settings: Settings) -> None:
    settings.DEBUG = True
    raised.append(errors.NotFound("not_found"))
    response = caller.get("/plain")
    assert (response.status_code, response.json()["code"]) == (404, "not_found")


def broken_middleware(get_response: object) -> Callable[[HttpRequest], HttpResponseBase]:
    def answer(request: HttpRequest) -> HttpResponseBase:
        raise raised[0]

    return answer


@pytest.mark.parametrize(
    ("error", "status", "code"),
    [(DATABASE[5][0], 503, "database_unavailable"), (ZeroDivisionError("a bug"), 500, "error")],
)
def test_error_outside_any_view__told_apart_as_well(
    caller: Client, settings: Settings, error: Exception, status: int, code: str
) -> None:
    settings.MIDDLEWARE = [*settings.MIDDLEWARE, f"{__name__}.broken_middleware"]
    raised.append(error)
    response = caller.get("/plain")
    assert (response.status_code, response.json()["code"]) == (status, code)


def test_language_of_the_request__words_the_problem(caller: Client) -> None:
    raised.append(errors.NotFound("not_found"))
    response = caller.get("/api", headers={"Accept-Language": "es"})
    assert (response.json()["title"], response.json()["detail"]) == (
        "No encontrado",
        "No existe o usted no puede verlo.",
    )
    assert response.headers["Content-Language"] == "es"


def test_language_of_the_person__before_that_of_the_request(caller: Client) -> None:
    raised.append(errors.NotFound("not_found"))
    headers = {**signed_in("ana", "driver", language="es"), "Accept-Language": "en"}
    response = caller.get("/api", headers=headers)
    assert response.json()["title"] == "No encontrado"
    assert caller.get("/api", headers={"Accept-Language": "en"}).json()["title"] == "Not found"


def test_text_of_a_fact__cannot_break_the_document(caller: Client) -> None:
    raised.append(errors.Conflict("action_not_allowed", state='"}\u2028<b>', allowed_actions=[]))
    assert caller.get("/api").json()["state"] == '"}\u2028<b>'


def test_name_of_a_parameter_from_outside__only_repeated_as_data(caller: Client) -> None:
    response = caller.get(f"/api?{quote('{code}<b>')}=1")
    assert response.json()["unknown"] == ["{code}<b>"]
    assert response.json()["detail"] == "Unknown query parameters: {code}<b>. Use: -."
