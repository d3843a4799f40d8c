"""An example of each body and answer in the OpenAPI document, as the suite last recorded it: a hook of drf-spectacular.

One for each schema, not for each operation: what refers to a schema shows its example. A list shows one row.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any

RECORDED = Path(__file__).with_name("examples.json")
"""Written by `make examples`."""


@cache
def recorded() -> dict[str, Any]:
    """Return the examples by the names of their schemas."""
    found: dict[str, Any] = json.loads(RECORDED.read_text(encoding="utf-8"))
    return found


def add_examples(result: dict[str, Any], **_: object) -> dict[str, Any]:
    """Give each schema its example; the page of a list has its row."""
    examples = recorded()
    for name, schema in result["components"]["schemas"].items():
        members = schema.get("properties", {})
        if name in examples:
            schema["examples"] = [examples[name]]
        elif "next" in members and (row := members["results"]["items"]["$ref"].rpartition("/")[2]) in examples:
            schema["examples"] = [{"results": [examples[row]], "next": None, "previous": None}]
    return result
