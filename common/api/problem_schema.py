"""The problem document in OpenAPI's words, and the one order in which the whole description is written."""

from typing import Any

from common.errors import MOST_ERRORS

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
        "code": {"type": "string"},
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
                    "code": {"type": "string"},
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
    result["components"] = {kind: dict(sorted(parts.items())) for kind, parts in sorted(components.items())}
    return result
