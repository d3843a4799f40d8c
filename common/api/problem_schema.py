"""The problem document in OpenAPI's words, and the one order in which the whole description is written."""

from collections.abc import Iterable
from typing import Any

from common import messages
from common.api.filters import PAGING
from common.api.problem_pages import CODE_BY_STATUS
from common.api.response_headers import header_components
from common.composition import contributed
from common.errors import MOST_ERRORS
from common.messages import Sentences

CODE = "ProblemCode"
PROBLEM_SCHEMA: dict[str, Any] = {
    "type": "object",
    "description": (
        "A problem document (RFC 9457). `code` is stable and explained at `type`; further members are the facts of "
        "the sentence in `detail`, among them `allowed_actions` where another action is possible."
    ),
    "required": ["type", "title", "status", "detail", "instance", "code", "errors"],
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string"},
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": {"type": "string"},
        "instance": {"type": "string", "format": "uri-reference", "description": "The request, as in X-Request-Id."},
        "code": {"$ref": f"#/components/schemas/{CODE}"},
        "errors": {
            "type": "array",
            "description": "The first that are wrong, in the order of the body.",
            "maxItems": MOST_ERRORS,
            "items": {
                "type": "object",
                "required": ["code", "detail"],
                "properties": {
                    "pointer": {"type": "string", "description": "JSON Pointer (RFC 6901) into the body."},
                    "parameter": {"type": "string", "description": "Query parameter, instead of a pointer."},
                    "code": {"type": "string", "description": "Explained at `/problems/` with its name."},
                    "detail": {"type": "string"},
                },
                "additionalProperties": True,
            },
        },
        "allowed_actions": {"type": "array", "items": {"type": "string"}},
        "retry_after": {"type": "integer", "description": "Seconds."},
    },
    "additionalProperties": True,
}


def sort_document(result: dict[str, Any], **_: object) -> dict[str, Any]:
    """Put the document in one order whatever the order of loading: a hook of drf-spectacular, after its own."""
    for operations in result.get("paths", {}).values():
        for operation in operations.values():
            operation["responses"] = dict(sorted(operation.get("responses", {}).items()))
    result["paths"] = dict(sorted(result.get("paths", {}).items()))
    components = result.get("components", {})
    components["headers"] = header_components()
    components["parameters"] = _shared_parameters(result["paths"])
    components["schemas"][CODE] = _codes(components["schemas"].get(CODE, {}).get("enum", ()))
    result["components"] = {kind: dict(sorted(parts.items())) for kind, parts in sorted(components.items())}
    return result


def _shared_parameters(paths: dict[str, Any]) -> dict[str, Any]:
    """Take out of every operation the parameters that many have alike."""
    shared: dict[str, Any] = {}
    for operation in (each for operations in paths.values() for each in operations.values()):
        given = operation.get("parameters", [])
        for place, parameter in enumerate(given):
            name = parameter["name"]
            if (parameter["in"] == "header" or name in PAGING) and shared.setdefault(name, parameter) == parameter:
                given[place] = {"$ref": f"#/components/parameters/{name}"}
    return shared


def _codes(raised: Iterable[str]) -> dict[str, Any]:
    """Every code that a problem may have, with its sentence; new ones come by addition."""
    broken = (code for app in contributed(Sentences) for code in app.constraints.values())
    codes = sorted({*raised, *CODE_BY_STATUS.values(), "error", *broken})
    said = "\n".join(f"- `{code}`: {messages.wording(code).template}" for code in codes)
    return {"type": "string", "enum": codes, "description": f"What a problem says, by its code.\n\n{said}"}
