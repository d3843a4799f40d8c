"""Each answer that a test gets of the API, compared with the OpenAPI document, which each worker reads once."""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from django.conf import settings
from django.urls import Resolver404
from jsonschema_rs import Draft202012Validator, Registry

COMMITTED = Path(__file__).resolve().parents[2] / "docs" / "openapi.yaml"
TOLD = {"Content-Disposition", "ETag", "Idempotency-Replayed", "Location", "Retry-After", "WWW-Authenticate"}
"""Headers that are sent only where the document tells of them."""
LONGEST = 100_000
"""Bytes of a body above which of each list only the first rows are looked at."""
FIRST_ROWS = 10


def check_described(method: str, answer: Any) -> None:
    """Fail with what the document does not say of an answer; methods and addresses that it has not are passed over."""
    operation = operation_of(method, answer)
    if operation is not None:
        faults = list(_faults(operation, answer))
        assert not faults, f"{operation['operationId']} {answer.status_code}: {'; '.join(faults)}"


def operation_of(method: str, answer: Any) -> dict[str, Any] | None:
    """The operation that answered, None for an address or a method that the document has not."""
    try:
        return _operations().get((method, _address(answer.resolver_match.route)))
    except Resolver404:
        return None


def _faults(operation: Mapping[str, Any], answer: Any) -> Iterator[str]:
    told = operation["responses"].get(str(answer.status_code))
    if told is None:
        yield "no such status"
        return
    whole = component(told["$ref"]) if "$ref" in told else told
    yield from _header_faults(whole["headers"], answer)
    kind = answer.headers.get("Content-Type", "").partition(";")[0]
    content = whole.get("content", {})
    if kind.endswith("json") and kind in content:
        body = answer.json()  # which keeps it for the test
        yield from _body_faults(content[kind]["schema"], body if len(answer.content) < LONGEST else _shortened(body))
        if "`" in told.get("description", ""):
            yield from [f"no such code: {body['code']}"] if f"`{body['code']}`" not in told["description"] else []
    elif kind not in content and (answer.streaming or answer.content):
        yield f"no such content: {kind}"


def _header_faults(told: Mapping[str, Any], answer: Any) -> Iterator[str]:
    for name, ref in told.items():
        if name not in answer.headers and component(ref["$ref"])["required"]:
            yield f"no {name}"
    yield from (f"{name} is not told" for name in TOLD - told.keys() if name in answer.headers)


def _body_faults(schema: Mapping[str, Any], body: Any) -> Iterator[str]:
    if "items" in schema:
        for row in body:
            yield from _body_faults(schema["items"], row)
    else:
        for error in () if validator(schema["$ref"]).is_valid(body) else validator(schema["$ref"]).iter_errors(body):
            if error.schema_path[-1] in {"enum", "anyOf"} and not settings.MESSAGES_STRICT:
                continue  # the test asks for words of a newer release
            yield f"/{'/'.join(map(str, error.instance_path))} {error.message[:300]}"


def _shortened(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _shortened(each) for name, each in value.items()}
    return [_shortened(each) for each in value[:FIRST_ROWS]] if isinstance(value, list) else value


@cache
def document() -> dict[str, Any]:
    """The committed document; a test holds that it is what the code gives."""
    found: dict[str, Any] = yaml.load(COMMITTED.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    return found


@cache
def _operations() -> dict[tuple[str, str], dict[str, Any]]:
    return {
        (method.upper(), path): operation
        for path, operations in document()["paths"].items()
        for method, operation in operations.items()
    }


@cache
def _address(route: str) -> str:
    """A route of Django's as the document writes it."""
    return "/" + re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", route)


@cache
def component(ref: str) -> Any:
    """A part of the document by a reference to it."""
    found: Any = document()
    for name in ref.removeprefix("#/").split("/"):
        found = found[name]
    return found


@cache
def validator(ref: str) -> Draft202012Validator:
    """What checks values by a schema of the document."""
    return Draft202012Validator({"$ref": f"document:{ref}"}, registry=_registry(), validate_formats=True)


@cache
def _registry() -> Registry:
    return Registry([("document:", document())])
