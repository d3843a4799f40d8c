"""Sending the same POST again does no harm: the first answer is kept for 90 days and given again.

After draft-ietf-httpapi-idempotency-key-header-07, which expired on 18 April 2026 and never became an RFC. Holds no
table: see `common.stored_responses`.
"""

import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from functools import partial
from http import HTTPStatus
from typing import Any, cast

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.utils.crypto import salted_hmac
from django.utils.datastructures import MultiValueDict
from django.utils.module_loading import import_string
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from common.canonical import canonical_json, sha256_hex
from common.errors import Conflict, Invalid, NotFound, Unreadable
from common.stored_responses import RETRY_AFTER_S, AnswerStore, RequestKey, StoredResponse

MAX_KEY = 200
MAX_PATH = 240
STORED_HEADERS = ("Content-Type", "ETag", "Location")
_BARE = re.compile(r"[\x21\x23-\x7e]{1,200}")
_QUOTED = re.compile(r'"((?:[\x20\x21\x23-\x5b\x5d-\x7e]|\\["\\]){1,200})"')

Handler = Callable[..., HttpResponseBase]


class IdempotentMixin(APIView):
    """Wraps `post`: claims the key, runs the handler and keeps its answer, all in one transaction, or looks it up.

    Codes: Unreadable `idempotency_key_required`, `idempotency_key_malformed`; Invalid `idempotency_key_reused`;
    Conflict `idempotency_key_in_use` with `retry_after`. An error, raised or returned, frees the key again.
    """

    idempotency: str = "required"
    """`required`, or `none` for a POST that is harmless or refused when repeated; sign-in is the example."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Put the wrapper before the handler, once the caller is known and allowed."""
        super().initial(request, *args, **kwargs)
        name = (request.method or "").lower()
        if name == "post" and self.idempotency != "none":
            setattr(self, name, partial(self._once, getattr(self, name)))

    def idempotency_store(self) -> AnswerStore:
        """Return the store named by the settings."""
        return cast("AnswerStore", import_string(settings.IDEMPOTENCY_STORE))

    def idempotency_transaction(self) -> AbstractContextManager[object]:
        """Return the transaction that holds the claim, the handler's work and the stored response."""
        return transaction.atomic()

    def _once(self, handler: Handler, request: Request, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if len(request.path) > MAX_PATH:
            raise NotFound("not_found")
        request_key = RequestKey(request.user.pk, "POST", request.path, read_key(request))
        fingerprint = request_fingerprint(request)
        store = self.idempotency_store()
        try:
            with self.idempotency_transaction():
                if not store.claim(request_key, fingerprint):
                    return _replayed(store.find(request_key), fingerprint)
                response = handler(request, *args, **kwargs)
                if response.status_code >= HTTPStatus.BAD_REQUEST:
                    raise _ReturnedError(response)  # noqa: TRY301 - leaving the block is what rolls back
                store.finish(request_key, self._keep(request, response, fingerprint))
        except _ReturnedError as returned:
            return returned.response
        return response

    def _keep(self, request: Request, response: HttpResponseBase, fingerprint: str) -> StoredResponse:
        """Render the answer now, so that what is kept is, byte for byte, what is sent."""
        if not isinstance(response, Response):
            msg = "an answer to be kept must be the framework's Response"
            raise TypeError(msg)
        renderer = request.accepted_renderer
        body = ""
        if response.data is not None:
            rendered = renderer.render(response.data, request.accepted_media_type, self.get_renderer_context())
            body = rendered.decode() if isinstance(rendered, bytes) else rendered
            response.headers["Content-Type"] = renderer.media_type
        response.content = body.encode()
        headers = {name: response.headers[name] for name in STORED_HEADERS if name in response.headers}
        return StoredResponse(fingerprint, response.status_code, body, headers)


class _ReturnedError(Exception):
    """Carries an error answer out of the transaction, which rolls back on its way."""

    def __init__(self, response: HttpResponseBase) -> None:
        super().__init__(response.status_code)
        self.response = response


def read_key(request: Request) -> str:
    """Return the key of the request, quoted as a structured field's string or bare, 1 to 200 visible characters."""
    given = request.headers.get("Idempotency-Key", "").strip()
    if not given:
        raise Unreadable("idempotency_key_required")
    quoted = _QUOTED.fullmatch(given)
    if quoted:
        return re.sub(r"\\(.)", r"\1", quoted.group(1))
    if _BARE.fullmatch(given):
        return given
    raise Unreadable("idempotency_key_malformed", max_length=MAX_KEY)


def request_fingerprint(request: Request) -> str:
    """Return the keyed hash of what was asked, body and query in canonical form.

    Keyed, because a body may hold a password, and what is kept must not let it be guessed.
    """
    query = dict(request.query_params.lists())
    requested = canonical_json({"body": _comparable(request.data), "query": query})
    return salted_hmac("common.api.idempotency", requested, algorithm="sha256").hexdigest()


def _replayed(stored: StoredResponse | None, fingerprint: str) -> HttpResponse:
    """Return the kept answer again, marked as such; Invalid `idempotency_key_reused` when something else was asked."""
    if stored is None:
        raise Conflict("idempotency_key_in_use", retry_after=RETRY_AFTER_S)
    if stored.fingerprint != fingerprint:
        raise Invalid("idempotency_key_reused")
    response = HttpResponse(stored.body, status=stored.status, headers=dict(stored.headers))
    response.headers["Idempotency-Replayed"] = "true"
    return response


def _comparable(value: object) -> object:
    if isinstance(value, MultiValueDict):
        return {name: [_comparable(item) for item in items] for name, items in value.lists()}
    if isinstance(value, UploadedFile):
        content = b"".join(value.chunks())
        value.seek(0)
        return {"name": value.name, "sha256": sha256_hex(content)}
    if isinstance(value, bytes):  # a file sent as the body itself
        return {"sha256": sha256_hex(value)}
    return value
