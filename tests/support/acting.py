"""The one way to act as a user: `acting_as` gives somebody's device, and what it sends goes through `_answer`."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.http import HttpResponse
from django.test import Client

from common import clock
from common.ids import uuid7
from fleet.enums import Role
from fleet.models import Person
from tests.factories.fleet import make_person, make_token
from tests.support.described import check_described
from tests.support.examples import record

if TYPE_CHECKING:
    from django.test.client import _MonkeyPatchedWSGIResponse as Answer
else:
    Answer = HttpResponse  # to which the test client adds `json` and more

PREFIX = "/api/v1/"


@dataclass(frozen=True)
class Device:
    """Sends JSON under the API's prefix, as a stranger where it has no token.

    Every POST has an Idempotency-Key of its own unless one is given.
    """

    token: str | None = None

    def get(self, path: str, **query: Any) -> Answer:
        return self.send("GET", path, query=query)

    def post(self, path: str, body: Any = None, *, key: str | None = None, if_match: str | None = None) -> Answer:
        return self.send("POST", path, {} if body is None else body, key=key or str(uuid7()), if_match=if_match)

    def put(self, path: str, body: Any) -> Answer:
        return self.send("PUT", path, body)

    def patch(self, path: str, body: Any, *, if_match: str | None = None) -> Answer:
        return self.send("PATCH", path, body, if_match=if_match)

    def delete(self, path: str) -> Answer:
        return self.send("DELETE", path)

    def put_file(self, path: str, content: bytes, media_type: str, **more: Any) -> Answer:
        return self.send("PUT", path, content, media_type=media_type, **more)

    def post_file(self, path: str, content: bytes, media_type: str, *, key: str | None = None) -> Answer:
        return self.send("POST", path, content, media_type=media_type, key=key or str(uuid7()))

    def act(self, path: str, action: str, body: Any, *, if_match: str | None = None) -> Answer:
        """Post an action on what is read at the path, with the version that is read there unless one is given."""
        seen = self.get(path)
        assert seen.status_code == 200, seen.content
        return self.post(f"{path}/{action}", body, if_match=if_match or seen.headers["ETag"])

    def send(
        self,
        method: str,
        path: str,
        body: Any = None,
        *,
        query: Mapping[str, Any] | None = None,
        key: str | None = None,
        if_match: str | None = None,
        headers: Mapping[str, str] | None = None,
        media_type: str = "application/json",
    ) -> Answer:
        """Send anything; a body of bytes goes as it is, another as JSON."""
        sent = {
            "Authorization": f"Bearer {self.token}" if self.token else None,
            "Idempotency-Key": key,
            "If-Match": if_match,
            **(headers or {}),
        }
        content = body if isinstance(body, bytes) else b"" if body is None else json.dumps(body).encode()
        return _answer(
            method,
            path if path.startswith("/") or "://" in path else PREFIX + path,
            data=content,
            content_type=media_type,
            headers={name: value for name, value in sent.items() if value is not None},
            query_params=query,
        )


def acting_as(who: Person | Role | str | None = None, *roles: Role, name: str = "Ada Brisk") -> Device:
    """A device, signed in now: of a person, of the person with this username, or of somebody new with these roles."""
    if isinstance(who, str) and not isinstance(who, Role):
        who = Person.objects.get(username=who)
    if not isinstance(who, Person):
        who = make_person(name, *(role for role in (who, *roles) if role is not None))
    return Device(make_token(who, at=clock.now())[1])


def refusal(response: Answer) -> tuple[int, str]:
    """Return status and code of a problem."""
    return response.status_code, response.json()["code"]


def codes(response: Answer) -> list[tuple[str, str]]:
    """Return pointer (or parameter) and code of every single problem of a refusal."""
    return [(error.get("pointer", error.get("parameter")), error["code"]) for error in response.json()["errors"]]


def _answer(method: str, address: str, **sent: Any) -> Answer:
    """Every request of a test goes through here; a file sent in pieces is read to its end, as a server does."""
    answer = Client().generic(method, address, **sent)
    if answer.streaming:
        answer.streaming_content = [answer.getvalue()]  # type: ignore[attr-defined]  # of a streamed one
    check_described(method, answer)
    record(method, sent.get("data"), answer)
    return answer
