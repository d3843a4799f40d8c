"""A plain caller of the API under test: a person's device with its own token, or a stranger without one."""

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.http import HttpResponse
from django.test import Client

from common.ids import uuid7

if TYPE_CHECKING:
    from django.test.client import _MonkeyPatchedWSGIResponse as Answer
else:
    Answer = HttpResponse  # to which the test client adds `json` and more

PREFIX = "/api/v1/"


@dataclass(frozen=True)
class Caller:
    """Sends JSON under the API's prefix; every POST has an Idempotency-Key of its own unless one is given."""

    token: str | None = None

    def get(self, path: str, **query: str) -> Answer:
        return self.send("GET", path, query=query)

    def post(self, path: str, body: Any = None, *, key: str | None = None, if_match: str | None = None) -> Answer:
        return self.send("POST", path, {} if body is None else body, key=key or str(uuid7()), if_match=if_match)

    def patch(self, path: str, body: Any, *, if_match: str | None = None) -> Answer:
        return self.send("PATCH", path, body, if_match=if_match)

    def delete(self, path: str) -> Answer:
        return self.send("DELETE", path)

    def put_file(self, path: str, content: bytes, media_type: str, *, if_match: str | None = None) -> Answer:
        headers = self._headers(if_match=if_match)
        return Client().generic("PUT", PREFIX + path, content, content_type=media_type, headers=headers)

    def post_file(self, path: str, content: bytes, media_type: str, *, key: str | None = None) -> Answer:
        headers = self._headers(key=key or str(uuid7()))
        return Client().generic("POST", PREFIX + path, content, content_type=media_type, headers=headers)

    def send(
        self,
        method: str,
        path: str,
        body: Any = None,
        *,
        query: dict[str, str] | None = None,
        key: str | None = None,
        if_match: str | None = None,
    ) -> Answer:
        client = Client(raise_request_exception=True)
        headers = self._headers(key=key, if_match=if_match)
        address = path if path.startswith("/") or "://" in path else PREFIX + path
        if body is None:
            return _whole(client.generic(method, address, headers=headers, query_params=query))
        return _whole(
            client.generic(
                method,
                address,
                json.dumps(body),
                content_type="application/json",
                headers=headers,
                query_params=query,
            )
        )

    def _headers(self, *, key: str | None = None, if_match: str | None = None) -> dict[str, str]:
        headers = {"Authorization": f"Bearer {self.token}"} if self.token else {}
        if key is not None:
            headers["Idempotency-Key"] = key
        if if_match is not None:
            headers["If-Match"] = if_match
        return headers


def _whole(answer: Answer) -> Answer:
    """A file that was to be sent in pieces is read to its end, with which it is closed, as a server does."""
    if answer.streaming:
        answer.streaming_content = [answer.getvalue()]  # type: ignore[attr-defined]  # of a streamed one
    return answer


def codes(response: Answer) -> list[tuple[str, str]]:
    """Return pointer (or parameter) and code of every single problem of a refusal."""
    return [(error.get("pointer", error.get("parameter")), error["code"]) for error in response.json()["errors"]]
