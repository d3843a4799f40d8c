"""The problem document in OpenAPI's words, and the watch over objects whose members nobody listed."""

from collections.abc import Iterator, Mapping
from typing import Any

FACTS_REASON = "each code adds the facts that its sentence names, as RFC 9457 section 3.2 provides for"

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

_SAYS = frozenset({"type", "$ref", "allOf", "oneOf", "anyOf", "enum", "const"})

_listed: dict[str, str] = {
    "/components/schemas/Problem": FACTS_REASON,
    "/components/schemas/Problem/properties/errors/items": FACTS_REASON,
}


def list_free_form(pointer: str, reason: str) -> None:
    """Allow one object without listed members in the OpenAPI document, for a reason that is kept beside it."""
    if not reason or _listed.setdefault(pointer, reason) != reason:
        raise ValueError(f"{pointer} needs one reason")


def unlisted_free_form(document: Mapping[str, Any]) -> list[str]:
    """Return the pointers of the objects whose members are not listed and that nobody gave a reason for."""
    return [found for found in free_form_objects(document) if found not in _listed]


def free_form_objects(node: object, pointer: str = "") -> Iterator[str]:
    """Yield the pointer of each schema that lets anything in: additional members, none listed, or no type at all."""
    if isinstance(node, Mapping):
        if _is_free_form(node):
            yield pointer
        values = node.get("properties")
        if isinstance(values, Mapping):
            yield from (f"{pointer}/properties/{name}" for name, value in values.items() if _says_nothing(value))
        if "items" in node and _says_nothing(node["items"]):
            yield f"{pointer}/items"
        for key, item in node.items():
            if key not in {"example", "examples", "default", "enum", "const"}:
                yield from free_form_objects(item, f"{pointer}/{str(key).replace('~', '~0').replace('/', '~1')}")
    elif isinstance(node, list):
        for index, item in enumerate(node):
            yield from free_form_objects(item, f"{pointer}/{index}")


def _is_free_form(node: Mapping[Any, Any]) -> bool:
    additional = node.get("additionalProperties")
    if additional is True or additional == {}:
        return True
    types = node.get("type")
    is_object = types == "object" or (isinstance(types, list) and "object" in types)
    listed = {"properties", "additionalProperties", "allOf", "oneOf", "anyOf", "$ref"}.intersection(node)
    return is_object and not listed


def _says_nothing(schema: object) -> bool:
    return isinstance(schema, Mapping) and _SAYS.isdisjoint(schema)


def sort_document(result: dict[str, Any], **_: object) -> dict[str, Any]:
    """Put the document in one order whatever the order of loading: a hook of drf-spectacular, after its own."""
    for operations in result.get("paths", {}).values():
        for operation in operations.values():
            operation["responses"] = dict(sorted(operation.get("responses", {}).items()))
    result["paths"] = dict(sorted(result.get("paths", {}).items()))
    components = result.get("components", {})
    result["components"] = {kind: dict(sorted(parts.items())) for kind, parts in sorted(components.items())}
    return result
