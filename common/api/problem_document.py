"""Writing one problem document (RFC 9457): its members, its words, its response. Decides no status by itself."""

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from http import HTTPStatus
from itertools import islice
from zoneinfo import ZoneInfo

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.text import capfirst

from common import messages, sentences
from common.api.request_id import request_id
from common.canonical import Plain, in_utc, plain
from common.composition import contributed
from common.errors import MOST_ERRORS, FieldProblem
from common.messages import Message, current_language

CONTENT_TYPE = "application/problem+json"
TYPE_PREFIX = "/problems/"


@dataclass(frozen=True)
class ReadersZone:
    """What names the zone in which sentences give instants; asked only for a problem that has an instant to say."""

    name: Callable[[], str]


def problem_type(code: str) -> str:
    """Return the stable URI of a code, where its meaning can be read."""
    return f"{TYPE_PREFIX}{code}"


def problem_title(code: str, status: int) -> str:
    """Return the title of a code in the language in force; that of its status where the code has none of its own."""
    title = str(messages.wording(code).title)
    return title or str(sentences.STATUS_TITLES.get(status, capfirst(HTTPStatus(status).phrase.lower())))


def field_error(problem: FieldProblem) -> dict[str, Plain]:
    """One entry of `errors`: where, which rule, in words, and the facts of it."""
    detail = _sentence(problem.code, problem.facts)
    return error_entry(problem.pointer, problem.code, detail, parameter=problem.parameter, facts=problem.facts)


def error_entry(
    pointer: str, code: str, detail: str, *, parameter: str = "", facts: Mapping[str, object] | None = None
) -> dict[str, Plain]:
    """One entry of `errors`, already worded; a query parameter is named by `parameter` instead of a pointer."""
    place = {"parameter": parameter} if parameter else {"pointer": pointer}
    return {**place, "code": code, "detail": detail, **_facts(facts or {})}


def problem_response(
    request: HttpRequest,
    status: int,
    code: str,
    facts: Mapping[str, object] | None = None,
    *,
    errors: Iterable[dict[str, Plain]] = (),
    headers: Mapping[str, str] | None = None,
) -> HttpResponse:
    """Return the whole answer in the language in force; a fact `retry_after` (seconds) becomes Retry-After too."""
    facts = facts or {}
    body: dict[str, Plain] = {
        **_facts(facts),
        "type": problem_type(code),
        "title": problem_title(code, status),
        "status": status,
        "detail": _sentence(code, facts),
        "instance": request_id(request),
        "code": code,
        "errors": list(islice(errors, MOST_ERRORS)),
    }
    response = HttpResponse(json.dumps(body, ensure_ascii=False), status=status, content_type=CONTENT_TYPE)
    response.headers["Link"] = f'<{problem_type(code)}>; rel="describedby"'
    if "retry_after" in facts:
        response.headers["Retry-After"] = str(facts["retry_after"])
    for name, value in (headers or {}).items():
        response.headers[name] = value
    return response


def _sentence(code: str, facts: Mapping[str, object]) -> str:
    """The sentence of a code; instants in the reader's zone, as `Fri 11 Dec 12:27 AM`. Members keep ISO 8601 in UTC."""
    said = {name: _in_readers_zone(value) for name, value in facts.items()}
    return messages.render(Message(code, said), current_language())


def _in_readers_zone(value: object) -> object:
    if isinstance(value, datetime):
        return value.astimezone(ZoneInfo(contributed(ReadersZone)[0].name()))
    if isinstance(value, Message):
        return replace(value, facts={name: _in_readers_zone(fact) for name, fact in value.facts.items()})
    if isinstance(value, list | tuple):
        return [_in_readers_zone(item) for item in value]
    return value


def _facts(facts: Mapping[str, object]) -> dict[str, Plain]:
    return {name: plain(_without_words(value)) for name, value in facts.items()}


def _without_words(value: object) -> object:
    """What a program gets of a fact: of a sentence its code, a text in the language in force, an instant with Z."""
    if isinstance(value, Message):
        return value.code
    if isinstance(value, datetime):
        return in_utc(value)
    if isinstance(value, Mapping) and settings.LANGUAGE_CODE in value:
        return messages.word(value, current_language())
    if isinstance(value, list | tuple):
        return [_without_words(item) for item in value]
    return value
