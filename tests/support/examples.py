"""Examples for the OpenAPI document, recorded while the tests of the API run: `python -m tests.support.examples`.

An example that still fits its schema is kept, so that a change of one schema changes one example.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from config.examples import RECORDED
from tests.support import described

INTO = "EXAMPLES_INTO"
PLAYED = ("tests/api", "tests/lived/test_lived_in.py", "tests/outside")
LONGEST = 4000
"""Characters of an example; a longer one is no example."""
SECRETS = {"token", "secret", "password"}


def record(method: str, sent: Any, answer: Any) -> None:
    """Note what was sent and answered, where the tests run to record it and the service did what was asked."""
    into = os.environ.get(INTO)
    operation = described.operation_of(method, answer) if into and answer.status_code < 300 else None
    if into is None or operation is None:
        return
    found = [*_sent(operation, sent), *_answered(operation, answer)]
    with Path(into).open("a", encoding="utf-8") as file:  # one line at a time, from whichever worker
        file.writelines(json.dumps(each) + "\n" for each in found)


def _sent(operation: dict[str, Any], sent: Any) -> Iterator[tuple[str, Any]]:
    content = operation.get("requestBody", {}).get("content", {}).get("application/json")
    if content and sent and len(sent) <= LONGEST:
        yield content["schema"]["$ref"].rpartition("/")[2], json.loads(sent)


def _answered(operation: dict[str, Any], answer: Any) -> Iterator[tuple[str, Any]]:
    content = operation["responses"][str(answer.status_code)].get("content", {}).get("application/json")
    if content is None or not answer.headers.get("Content-Type", "").startswith("application/json"):
        return
    body, schema = answer.json(), content["schema"]
    if "items" in schema:
        if not body:
            return
        schema, body = schema["items"], body[0]
    name = schema["$ref"].rpartition("/")[2]
    members = described.component(schema["$ref"]).get("properties", {})
    if "next" not in members:
        yield name, body
    elif body["results"]:
        yield members["results"]["items"]["$ref"].rpartition("/")[2], body["results"][0]


def write(lines: Iterator[str]) -> None:
    """Write the example of each schema anew where none is there that fits: the fullest that is not too long."""
    kept = {name: each for name, each in json.loads(RECORDED.read_text()).items() if _fits(name, each)}
    best: dict[str, Any] = {}
    for name, given in map(json.loads, lines):
        example = next((each for each in (_trimmed(given, 1), _trimmed(given, 2)) if _fits(name, each)), None)
        if example is not None and (name not in best or _fullness(example) > _fullness(best[name])):
            best[name] = example
    text = json.dumps({**best, **kept}, indent=1, ensure_ascii=False, sort_keys=True)
    RECORDED.write_text(text + "\n", encoding="utf-8")


def _fits(name: str, example: Any) -> bool:
    known = name in described.document()["components"]["schemas"] and len(json.dumps(example)) <= LONGEST
    return known and described.validator(f"#/components/schemas/{name}").is_valid(example)


def _trimmed(value: Any, items: int) -> Any:
    """The first items of each list, and no secret."""
    if isinstance(value, dict):
        return {
            name: f"{each[:4]}{'x' * 8}" if name in SECRETS and isinstance(each, str) else _trimmed(each, items)
            for name, each in value.items()
        }
    return [_trimmed(each, items) for each in value[:items]] if isinstance(value, list) else value


def _fullness(value: Any) -> int:
    """How many values say something."""
    if isinstance(value, dict):
        return sum(map(_fullness, value.values()))
    return sum(map(_fullness, value)) if isinstance(value, list) else int(value not in (None, "", False))


if __name__ == "__main__":
    with tempfile.NamedTemporaryFile("r", encoding="utf-8") as notes:
        command = [sys.executable, "-m", "pytest", "-q", *(sys.argv[1:] or PLAYED)]
        played = subprocess.run(command, env={**os.environ, INTO: notes.name}, check=False)
        write(iter(notes))
    sys.exit(played.returncode)
