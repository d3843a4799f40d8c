"""Every answer has a name, safe headers and the language it is in; answers made elsewhere keep their own."""

import logging
import uuid

import pytest
from django.http import HttpRequest, HttpResponse, JsonResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.test import Client, RequestFactory
from django.urls import path
from pytest_django import Settings

from common.api.request_id import request_id
from common.causes import CauseFilter

pytestmark = pytest.mark.urls(__name__)


def data(request: HttpRequest) -> HttpResponseBase:
    return JsonResponse({"id": request_id(request)})


def page(request: HttpRequest) -> HttpResponseBase:
    return HttpResponse("<p>page</p>")


def public(request: HttpRequest) -> HttpResponseBase:
    return JsonResponse({}, headers={"Cache-Control": "public, max-age=60", "X-Frame-Options": "SAMEORIGIN"})


def tagged(request: HttpRequest) -> HttpResponseBase:
    return HttpResponse(request.GET["says"], headers={"ETag": request.GET["tag"]})


def in_a_stream(request: HttpRequest) -> HttpResponseBase:
    return StreamingHttpResponse(iter([b"part"]))


def refused_with_data(request: HttpRequest) -> HttpResponseBase:
    return JsonResponse({"late": ["sweep"]}, status=503)


def refused_in_a_stream(request: HttpRequest) -> HttpResponseBase:
    return StreamingHttpResponse(iter([b"part"]), status=500, content_type="text/html")


def logged(request: HttpRequest) -> HttpResponseBase:
    record = logging.LogRecord("test", logging.INFO, __file__, 1, "said", None, None)
    assert CauseFilter().filter(record) is True
    return JsonResponse({"logged": vars(record)["request_id"]})


urlpatterns = [
    path("data", data),
    path("page", page),
    path("public", public),
    path("tagged", tagged),
    path("in-a-stream", in_a_stream),
    path("refused-with-data", refused_with_data),
    path("refused-in-a-stream", refused_in_a_stream),
    path("logged", logged),
]


@pytest.mark.parametrize("name", ["a", "A-z.0_9", "x" * 64])
def test_safe_name__taken_over(client: Client, name: str) -> None:
    response = client.get("/data", headers={"X-Request-Id": name})
    assert (response.headers["X-Request-Id"], response.json()) == (name, {"id": name})


@pytest.mark.parametrize("name", ["", "x" * 65, "a b", "a:b", "<b>", "ñ", 'a"b', "a/b"])
def test_unsafe_or_missing_name__made_anew(client: Client, name: str) -> None:
    response = client.get("/data", headers={"X-Request-Id": name} if name else {})
    made = response.headers["X-Request-Id"]
    assert uuid.UUID(made).version == 7
    assert response.json() == {"id": made}


def test_log_line_of_a_request__has_its_name(client: Client) -> None:
    assert client.get("/logged", headers={"X-Request-Id": "t-9"}).json() == {"logged": "t-9"}


def test_request_without_the_middleware__named_once_and_for_all() -> None:
    request = RequestFactory().get("/")
    assert request_id(request) == request_id(request)


def test_data__no_shared_cache_no_foreign_page(client: Client) -> None:
    response = client.get("/data")
    expected = {
        "X-Content-Type-Options": "nosniff",
        "X-Frame-Options": "DENY",
        "Referrer-Policy": "same-origin",
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
        "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
    }
    assert {name: response.headers[name] for name in expected} == expected
    assert response.headers["Content-Security-Policy"] == "default-src 'none'; frame-ancestors 'none'"
    assert response.headers["Cache-Control"] == "private, no-cache"
    assert {name.strip() for name in response.headers["Vary"].split(",")} == {"Accept-Language", "Authorization"}


@pytest.mark.parametrize(
    ("path", "kept"), [("/data", "no-store"), ("/page", "private, no-cache"), ("/none", "private, no-cache")]
)
def test_answer_of_an_address_never_stored__is_kept_by_no_device(
    client: Client, settings: Settings, path: str, kept: str
) -> None:
    settings.API_NEVER_STORED = frozenset({"data"})
    assert client.get(path).headers["Cache-Control"] == kept


def test_page__may_run_its_own_scripts_only(client: Client) -> None:
    policy = client.get("/page").headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'; ")
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy


def test_headers_that_a_view_set__left_alone(client: Client) -> None:
    headers = client.get("/public").headers
    assert (headers["Cache-Control"], headers["X-Frame-Options"]) == ("public, max-age=60", "SAMEORIGIN")


def test_error_with_data_of_its_own__left_alone(client: Client) -> None:
    response = client.get("/refused-with-data")
    assert (response.status_code, response.json()) == (503, {"late": ["sweep"]})


def test_error_in_a_stream__left_alone(client: Client) -> None:
    response = client.get("/refused-in-a-stream")
    assert (response.status_code, response.getvalue()) == (500, b"part")


def test_same_answer_again__not_modified(client: Client) -> None:
    first = client.get("/public")
    again = client.get("/public", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["ETag"] == first.headers["ETag"]
    assert client.get("/public", headers={"If-None-Match": '"other"'}).status_code == 200


def test_version_asked_for_is_not_the_one_there__precondition_failed(client: Client) -> None:
    refused = client.get("/public", headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["title"], refused.json()["code"]) == (
        412,
        "Precondition failed",
        "version_changed",
    )
    assert client.get("/public", headers={"If-Match": client.get("/public").headers["ETag"]}).status_code == 200


def test_head__has_the_tag_of_get_and_is_conditional_as_well(client: Client) -> None:
    tag = client.get("/public").headers["ETag"]
    assert client.head("/public").headers["ETag"] == tag
    assert client.head("/public", headers={"If-None-Match": tag}).status_code == 304


def test_version_told_by_a_view__tagged_with_all_that_is_shown_whatever_the_method(client: Client) -> None:
    def tag(says: str, version: str = '"7"') -> str:
        read = client.get("/tagged", {"says": says, "tag": version}).headers["ETag"]
        written = client.post("/tagged", query_params={"says": says, "tag": version}).headers["ETag"]
        assert read == written
        return str(read)

    assert len({tag("a"), tag("b"), tag("a", '"8"')}) == 3
    assert tag("a").startswith('"7-')
    assert (tag(""), tag("a", '"en-7"'), tag("a", 'W/"7"')) == ('"7"', '"en-7"', 'W/"7"')


@pytest.mark.parametrize("place", ["/refused-with-data", "/refused-in-a-stream", "/in-a-stream", "/nowhere"])
def test_error_or_stream__no_tag_and_no_condition(client: Client, place: str) -> None:
    status = client.get(place).status_code
    for condition in ("If-None-Match", "If-Match"):
        answer = client.get(place, headers={condition: "*"})
        assert (answer.status_code, answer.has_header("ETag")) == (status, False)
