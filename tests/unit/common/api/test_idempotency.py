"""The same POST again is answered from what was kept, and does its work once; whatever goes wrong frees the key."""

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import path
from pytest_django import Settings
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.parsers import StrictJSONParser
from common.api.permissions import ANY_ROLE
from common.api.views import ApiView, ApiViewSet
from common.errors import Conflict
from common.stored_responses import RequestKey, StoredResponse
from tests.support.callers import HeaderAuthentication, signed_in

pytestmark = pytest.mark.urls(__name__)
ANA = signed_in("ana", "driver")
BEN = signed_in("ben", "driver")


class FakeStore:
    """Keeps answers in memory; what a transaction claimed is gone when it rolls back."""

    def __init__(self) -> None:
        self.rows: dict[RequestKey, StoredResponse | None] = {}
        self.rival_commits_first = False

    def find(self, request_key: RequestKey) -> StoredResponse | None:
        return self.rows.get(request_key)

    def claim(self, request_key: RequestKey, fingerprint: str) -> bool:
        if self.rival_commits_first or request_key in self.rows:
            return False
        self.rows[request_key] = None
        return True

    def finish(self, request_key: RequestKey, answer: StoredResponse) -> None:
        assert self.rows[request_key] is None
        self.rows[request_key] = answer

    @contextmanager
    def transaction(self) -> Iterator[None]:
        before = dict(self.rows)
        try:
            yield
        except BaseException:
            self.rows = before
            raise


store = FakeStore()
done: list[object] = []


class Once(ApiView):
    """Counts how often its work is done; a body can ask for every way to end."""

    authentication_classes = (HeaderAuthentication,)
    parser_classes = (StrictJSONParser, MultiPartParser)
    roles = {"post": ANY_ROLE, "put": ANY_ROLE}
    query_parameters = {"post": frozenset({"q"})}

    def idempotency_transaction(self) -> AbstractContextManager[object]:
        return store.transaction()

    def post(self, request: Request, rest: str = "") -> Response:
        done.append(request.data)
        assert isinstance(request.data, dict)
        match request.data.get("end"):
            case "raise":
                raise Conflict("row_in_the_way")
            case "bug":
                raise ZeroDivisionError
            case "return":
                return Response({"refused": True}, status=409)
            case "nothing":
                return Response(status=204)
        headers = {"Location": f"/orders/{len(done)}", "ETag": '"1"', "X-Other": "not kept"}
        return Response({"number": len(done), "word": "ñ"}, status=201, headers=headers)

    def put(self, request: Request) -> Response:
        return Response({})


class Harmless(Once):
    """Needs no key."""

    idempotency = "none"


class Moves(ApiViewSet):
    """A transition of a view set."""

    authentication_classes = (HeaderAuthentication,)
    roles = {"start": ANY_ROLE}

    def idempotency_transaction(self) -> AbstractContextManager[object]:
        return store.transaction()

    def start(self, request: Request, number: int) -> Response:
        done.append(number)
        return Response({"started": number})


urlpatterns = [
    path("once", Once.as_view()),
    path("other", Once.as_view()),
    path("harmless", Harmless.as_view()),
    path("orders/<int:number>/start", Moves.as_view({"post": "start"})),
    path("long/<path:rest>", Once.as_view()),
]


@pytest.fixture(autouse=True)
def _fresh_store(settings: Any) -> None:
    settings.IDEMPOTENCY_STORE = f"{__name__}.store"
    store.__init__()  # type: ignore[misc]  # the settings name this very object
    done.clear()


def send(client: Client, key: str | None = "k-1", body: str = '{"a": 1}', who: dict[str, str] = ANA, **to: Any) -> Any:
    headers = {**who, **({} if key is None else {"Idempotency-Key": key})}
    return client.post(to.get("address", "/once"), body, content_type="application/json", headers=headers)


def test_first_time__work_done_and_answer_kept(client: Client) -> None:
    response = send(client)
    assert (response.status_code, response.json()) == (201, {"number": 1, "word": "ñ"})
    assert response.headers["Content-Type"] == "application/json"
    assert "Idempotency-Replayed" not in response.headers
    [(request_key, answer)] = store.rows.items()
    assert request_key == RequestKey("ana", "POST", "/once", "k-1")
    assert answer is not None
    assert (answer.status, answer.body) == (201, '{"number":1,"word":"ñ"}')
    assert answer.headers == {"Content-Type": "application/json", "ETag": '"1"', "Location": "/orders/1"}


def test_same_again__same_answer_byte_for_byte_and_work_done_once(client: Client) -> None:
    first, again = send(client), send(client)
    assert again.headers["Idempotency-Replayed"] == "true"
    assert (again.status_code, again.content) == (first.status_code, first.content)
    kept = ("Content-Type", "ETag", "Location")
    assert [again.headers[name] for name in kept] == [first.headers[name] for name in kept]
    assert len(done) == 1


def test_same_values_written_otherwise__still_the_same_request(client: Client) -> None:
    send(client, body='{"a": 1, "b": [true]}')
    assert send(client, body='{ "b" : [true],"a":1}').headers["Idempotency-Replayed"] == "true"


def test_quoted_and_bare_key__the_same_key(client: Client) -> None:
    send(client, key="k-1")
    assert send(client, key='"k-1"').headers["Idempotency-Replayed"] == "true"


@pytest.mark.parametrize("body", ['{"a": 2}', '{"a": "1"}', '{"a": 1, "b": null}', "{}"])
def test_other_body_under_the_key__refused_and_nothing_done(client: Client, body: str) -> None:
    send(client)
    response = send(client, body=body)
    assert (response.status_code, response.json()["code"]) == (422, "idempotency_key_reused")
    assert len(done) == 1


def test_other_query_under_the_key__refused(client: Client) -> None:
    send(client)
    assert send(client, address="/once?q=1").json()["code"] == "idempotency_key_reused"


@pytest.mark.parametrize(
    "second",
    [{"who": BEN}, {"address": "/other"}, {"key": "k-2"}],
    ids=["another person", "another address", "another key"],
)
def test_same_body_otherwise__done_again(client: Client, second: dict[str, Any]) -> None:
    send(client)
    response = send(client, **second)
    assert (response.status_code, "Idempotency-Replayed" in response.headers) == (201, False)
    assert len(done) == 2


def test_lost_race__conflict_with_retry_after_and_nothing_done(client: Client) -> None:
    store.rival_commits_first = True
    response = send(client)
    assert (response.status_code, response.json()["code"]) == (409, "idempotency_key_in_use")
    assert response.headers["Retry-After"] == "1"
    assert done == []


@pytest.mark.parametrize(("end", "status"), [("raise", 409), ("return", 409), ("bug", 500)])
def test_error__rolled_back_and_the_key_free_again(client: Client, end: str, status: int) -> None:
    client.raise_request_exception = False
    assert send(client, body=f'{{"end": "{end}"}}').status_code == status
    assert store.rows == {}
    assert send(client).status_code == 201


def test_answer_without_a_body__kept_and_given_again(client: Client) -> None:
    first, again = send(client, body='{"end": "nothing"}'), send(client, body='{"end": "nothing"}')
    assert (first.status_code, first.content) == (204, b"")
    assert (again.status_code, again.content, again.headers["Idempotency-Replayed"]) == (204, b"", "true")


def test_missing_key__required_and_nothing_done(client: Client) -> None:
    response = send(client, key=None)
    assert (response.status_code, response.json()["code"]) == (400, "idempotency_key_required")
    assert response.headers["Link"] == '</problems/idempotency_key_required>; rel="describedby"'
    assert done == []


@pytest.mark.parametrize("key", ["x" * 200, '"' + "x" * 200 + '"', '"a b"', r'"a\"b"', "!~"])
def test_key_at_the_limits__taken(client: Client, key: str) -> None:
    assert send(client, key=key).status_code == 201


@pytest.mark.parametrize("key", ["x" * 201, '"' + "x" * 201 + '"', "a b", '"a', 'a"', '""', "ñ", r'"a\b"', '"a", "b"'])
def test_malformed_key__refused(client: Client, key: str) -> None:
    response = send(client, key=key)
    assert (response.status_code, response.json()["code"]) == (400, "idempotency_key_malformed")
    assert done == []


def test_unreadable_body__refused_before_anything_is_kept(client: Client) -> None:
    assert send(client, body="{").json()["code"] == "json_malformed"
    assert store.rows == {}


def test_stranger_or_wrong_role__sees_no_stored_response(client: Client) -> None:
    send(client)
    assert send(client, who={}).status_code == 401
    assert send(client, who=signed_in("ana")).status_code == 403


def test_what_is_kept_of_a_body__cannot_be_guessed_without_the_services_key(client: Client, settings: Settings) -> None:
    send(client)
    settings.SECRET_KEY = "another one"
    send(client, key="other")
    (one, two) = [answer.fingerprint for answer in store.rows.values() if answer]
    assert one != two
    assert len(one) == 64


def test_view_that_needs_no_key__answered_each_time(client: Client) -> None:
    assert send(client, key=None, address="/harmless").status_code == 201
    assert send(client, address="/harmless").json()["number"] == 2
    assert store.rows == {}


def test_other_methods__need_no_key(client: Client) -> None:
    assert client.put("/once", headers=ANA).status_code == 200


def test_transition_of_a_view_set__kept_by_its_own_address(client: Client) -> None:
    first = send(client, address="/orders/1/start", body="{}")
    again = send(client, address="/orders/1/start", body="{}")
    other = send(client, address="/orders/2/start", body="{}")
    assert [first.json(), again.json(), other.json()] == [{"started": 1}, {"started": 1}, {"started": 2}]
    assert done == [1, 2]


def test_address_longer_than_is_kept__not_found(client: Client) -> None:
    assert send(client, address=f"/long/{'x' * 234}").status_code == 201
    assert send(client, address=f"/long/{'x' * 235}").json()["code"] == "not_found"


def test_file_with_other_content_under_the_key__refused(client: Client) -> None:
    def upload(content: bytes) -> Any:
        file = SimpleUploadedFile("paper.pdf", content)
        return client.post("/once", {"kind": "x", "file": file}, headers={**ANA, "Idempotency-Key": "f"})

    assert upload(b"one").status_code == 201
    assert upload(b"one").headers["Idempotency-Replayed"] == "true"
    assert upload(b"two").json()["code"] == "idempotency_key_reused"
    assert len(done) == 1
