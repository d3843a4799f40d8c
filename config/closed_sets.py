"""Each closed set once in the OpenAPI document, under the name of its enum: a hook of drf-spectacular."""

from enum import StrEnum
from typing import Any

import defects.enums
import fleet.enums
import workorders.enums

MODULES = (fleet.enums, defects.enums, workorders.enums)
REF = "#/components/schemas/"


def closed_sets() -> dict[frozenset[str], type[StrEnum]]:
    """Return each closed set by its values; of two with the same values the first."""
    named: dict[frozenset[str], type[StrEnum]] = {}
    for module in MODULES:
        for found in vars(module).values():
            if isinstance(found, type) and issubclass(found, StrEnum) and found.__module__ == module.__name__:
                named.setdefault(frozenset(found), found)
    return named


def name_closed_sets(result: dict[str, Any], **_: object) -> dict[str, Any]:
    """Put a reference in the place of every list of values that is a closed set of ours, the empty text aside."""
    known, schemas = closed_sets(), result["components"]["schemas"]
    own = {found.__name__: found for found in known.values()}
    for name in [name for name in schemas if name not in own]:
        schemas[name] = _referring(schemas[name], known)
    result["paths"] = _referring(result["paths"], known)
    for name in sorted(_referred(result) & own.keys()):
        schemas.setdefault(name, {"type": "string", "enum": [str(word) for word in own[name]]})
    return result


def _referring(node: Any, known: dict[frozenset[str], type[StrEnum]]) -> Any:
    if isinstance(node, list):
        return [_referring(item, known) for item in node]
    if not isinstance(node, dict):
        return node
    values = node.get("enum")
    if node.get("type") == "string" and isinstance(values, list):
        said = {key: value for key, value in node.items() if key not in {"type", "enum", "x-spec-enum-id"}}
        found = known.get(frozenset(values) - {""})
        if found is not None:
            ref = {"$ref": REF + found.__name__}
            return {**({"anyOf": [ref, {"const": ""}]} if "" in values else ref), **said}
    return {key: _referring(value, known) for key, value in node.items()}


def _referred(node: Any) -> set[str]:
    if isinstance(node, list):
        return set().union(*(_referred(item) for item in node))
    if not isinstance(node, dict):
        return set()
    own = {str(node["$ref"]).removeprefix(REF)} if isinstance(node.get("$ref"), str) else set()
    return own.union(*(_referred(value) for value in node.values()))
