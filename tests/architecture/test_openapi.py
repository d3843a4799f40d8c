"""The API's description: committed as the code gives it, without a warning, without an object of any form."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.core.exceptions import ImproperlyConfigured
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiYamlRenderer
from jsonschema_rs import Draft202012Validator, Registry
from openapi_spec_validator import OpenAPIV31SpecValidator
from yaml import CSafeLoader

from common.tables.reading import CSV, XLSX
from config.closed_sets import closed_sets
from config.examples import RECORDED, recorded
from config.parameters import DESCRIPTIONS
from tests.support.routes import operations

COMMITTED = Path(__file__).resolve().parents[2] / "docs" / "openapi.yaml"
FREE_FORM: dict[str, str] = {
    "HistoryAnswer.content": "what an entry says depends on its kind; new kinds come by addition",
    "PolicyBody.value": "each key takes a value of its own form, which its rule checks",
    "PolicyAnswer.value": "as it was decided",
    "Problem": "the facts of a refusal stand beside the members of RFC 9457, named by its code",
    "Problem.errors": "the facts of one refused value likewise",
}
"""By component and member: why a value without a form is needed there."""

NOT_RECORDED = {
    "RepeatedTestBody",
    "SupersedeBody",
}
"""Bodies that no test of the API sends so that they are taken; their services are tested without HTTP."""
METHODS = ("get", "post", "put", "patch", "delete")


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    """The description that the code gives now."""
    generator = SchemaGenerator()  # type: ignore[no-untyped-call]
    schema = generator.get_schema(public=True)  # type: ignore[no-untyped-call]
    given: dict[str, Any] = yaml.load(OpenApiYamlRenderer().render(schema, None), CSafeLoader)  # type: ignore[no-untyped-call]
    return given


def test_committed_description__is_the_one_that_the_code_gives(document: dict[str, Any]) -> None:
    committed = yaml.load(COMMITTED.read_text(encoding="utf-8"), CSafeLoader)
    assert sorted(committed["paths"]) == sorted(document["paths"]), "run `make openapi`"
    assert committed == document, "run `make openapi`"


def test_description__is_made_without_a_warning_or_an_error(
    document: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    assert document["openapi"] == "3.1.1"
    assert not GENERATOR_STATS._warn_cache
    assert not GENERATOR_STATS._error_cache


def test_every_operation__is_described_and_no_other(document: dict[str, Any]) -> None:
    described = {
        f"{method.upper()} {path.removeprefix('/api/v1')}"
        for path, item in document["paths"].items()
        for method in item
        if method in METHODS and path.startswith("/api/v1/")
    }
    assert described == {operation.name for operation in operations()}


def test_every_operation__tells_its_problems_and_names_itself_once(document: dict[str, Any]) -> None:
    found = _operations(document)
    names = [operation["operationId"] for operation in found]
    assert len(names) == len(set(names)) > 40
    assert [operation["operationId"] for operation in found if "400" not in operation["responses"]] == []
    assert [operation["operationId"] for operation in found if not operation.get("description")] == []


def test_values_of_any_form__are_listed_with_their_reason(document: dict[str, Any]) -> None:
    found = set(_free_form(document["components"]["schemas"]))
    assert sorted(found) == sorted(FREE_FORM)


def test_search_for_free_form__sees_each_way_to_write_one() -> None:
    components = {
        "A": {"type": "object", "properties": {"open": {}, "any": {"type": "object"}, "named": {"type": "string"}}},
        "B": {"type": "object", "additionalProperties": {}},
        "C": {"type": "object", "properties": {"list": {"type": "array", "items": {}}}},
        "D": {"type": "object", "properties": {"map": {"type": "object", "additionalProperties": {"type": "string"}}}},
        "E": {"type": "object", "properties": {"either": {"oneOf": [{"$ref": "#/x"}, {"type": ["object", "null"]}]}}},
    }
    assert sorted(_free_form(components)) == ["A.any", "A.open", "B", "C.list", "E.either"]


def _free_form(components: dict[str, Any]) -> Iterator[str]:
    for name, schema in components.items():
        for place in _open_places(schema, name):
            yield re.sub(r"\.(items|\d+)", "", place)


def _open_places(schema: dict[str, Any], place: str) -> Iterator[str]:
    if "$ref" in schema or "enum" in schema or "const" in schema:
        return
    alternatives = [*schema.get("oneOf", ()), *schema.get("anyOf", ()), *schema.get("allOf", ())]
    if alternatives:
        for number, alternative in enumerate(alternatives):
            yield from _open_places(alternative, f"{place}.{number}")
        return
    kinds = schema.get("type", "any")
    kinds = [kinds] if isinstance(kinds, str) else kinds
    if "any" in kinds:
        yield place
    if "array" in kinds:
        yield from _open_places(schema.get("items", {}), f"{place}.items")
    if "object" in kinds:
        yield from _open_members(schema, place)


def _open_members(schema: dict[str, Any], place: str) -> Iterator[str]:
    further = schema.get("additionalProperties", not schema.get("properties"))
    if further is True or further == {}:
        yield place
    elif isinstance(further, dict):
        yield from _open_places(further, place)
    for name, member in schema.get("properties", {}).items():
        yield from _open_places(member, f"{place}.{name}")


def test_closed_set__is_named_and_stands_nowhere_else(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    named = {name for name, schema in schemas.items() if "enum" in schema}
    assert [place for place in _enums(document) if place not in {f"components.schemas.{name}" for name in named}] == []
    values = [tuple(sorted(schemas[name]["enum"])) for name in named]
    assert len(values) == len(set(values)) > 70


def test_search_for_closed_sets__sees_one_in_place() -> None:
    assert list(_enums({"paths": [{"schema": {"type": "string", "enum": ["a", "b"]}}]})) == ["paths.0.schema"]


def _enums(node: Any, place: str = "") -> Iterator[str]:
    if isinstance(node, dict):
        if isinstance(node.get("enum"), list):
            yield place
        for name, each in node.items():
            yield from _enums(each, f"{place}.{name}".lstrip("."))
    elif isinstance(node, list):
        for number, each in enumerate(node):
            yield from _enums(each, f"{place}.{number}")


def test_two_closed_sets_of_one_name__are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("config.closed_sets._others", lambda: {"Role": ["somebody"]})
    with pytest.raises(ImproperlyConfigured, match="Role"):
        closed_sets()


def test_document__is_valid_openapi(document: dict[str, Any]) -> None:
    assert [(*fault.absolute_path, fault.message) for fault in OpenAPIV31SpecValidator(document).iter_errors()] == []


def test_template__has_the_one_media_type_of_its_form(document: dict[str, Any]) -> None:
    answers = {
        path: list(operations["get"]["responses"]["200"]["content"])
        for path, operations in document["paths"].items()
        if "/template." in path
    }
    assert answers
    assert answers == {path: [CSV if path.endswith(".csv") else XLSX] for path in answers}


def test_body_that_an_operation_takes__is_required(document: dict[str, Any]) -> None:
    bodies = [operation["requestBody"] for operation in _operations(document) if "requestBody" in operation]
    assert bodies
    assert all(body["required"] for body in bodies)


@pytest.mark.parametrize(("said", "valid"), [(["string", "null"], True), (["null", "null"], False)])
def test_null_said_twice__is_no_valid_openapi(document: dict[str, Any], said: list[str], valid: bool) -> None:
    small = {**document, "paths": {}, "components": {"schemas": {"Odd": {"type": said}}}}
    assert (list(OpenAPIV31SpecValidator(small).iter_errors()) == []) is valid


def test_every_parameter__is_described(document: dict[str, Any]) -> None:
    shared = document["components"]["parameters"]
    given = [each for operation in _operations(document) for each in operation.get("parameters", ()) if "in" in each]
    assert [each["name"] for each in (*given, *shared.values()) if not each.get("description")] == []
    assert sorted(DESCRIPTIONS.keys() - {each["name"] for each in given}) == []


def test_every_response__tells_the_name_of_the_request_and_says_something(document: dict[str, Any]) -> None:
    responses = [response for operation in _operations(document) for response in operation["responses"].values()]
    own = [*(each for each in responses if "$ref" not in each), *document["components"]["responses"].values()]
    assert [each for each in own if "X-Request-Id" not in each.get("headers", ())] == []
    assert [each for each in own if not each["description"]] == []


def test_every_code_of_an_operation__is_in_the_table_of_codes(document: dict[str, Any]) -> None:
    table = document["components"]["schemas"]["ProblemCode"]
    told = {
        code
        for operation in _operations(document)
        for status, response in operation["responses"].items()
        if status >= "400"
        for code in re.findall(r"`(\w+)`", response.get("description", ""))
    }
    assert len(told) > 200
    assert told <= set(table["enum"])
    assert [code for code in table["enum"] if f"- `{code}`: " not in table["description"]] == []


def _operations(document: dict[str, Any]) -> list[dict[str, Any]]:
    return [operation for item in document["paths"].values() for name, operation in item.items() if name in METHODS]


def test_every_operation__shows_what_is_sent_and_answered(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    contents = [
        (operation["operationId"], part["content"]["application/json"]["schema"])
        for operation in _operations(document)
        for part in (operation.get("requestBody", {}), *operation["responses"].values())
        if "application/json" in part.get("content", {})
    ]
    assert len(contents) > 200
    named = [(name, schema.get("items", schema)["$ref"].rpartition("/")[2]) for name, schema in contents]
    assert {shown for _, shown in named if not schemas[shown].get("examples")} == NOT_RECORDED


def test_every_example__fits_its_schema_and_is_short(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    registry = Registry([("document:", document)])
    shown = {name: schema["examples"] for name, schema in schemas.items() if "examples" in schema}
    for name, examples in shown.items():
        checks = Draft202012Validator({"$ref": f"document:#/components/schemas/{name}"}, registry=registry)
        assert [error.message for example in examples for error in checks.iter_errors(example)] == [], name
    assert recorded().keys() <= shown.keys()
    assert RECORDED.stat().st_size < 200_000
