"""Models stand in the document under their own names, bodies as they are sent and answers as they are given."""

from enum import StrEnum
from typing import Annotated

import pytest
from django.core.exceptions import ImproperlyConfigured
from drf_spectacular.plumbing import ComponentRegistry
from pydantic import BaseModel, Field

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body, NothingBody
from common.api.model_schema import register
from common.api.signed_bodies import Expected, SignedBody
from common.api.values import Instant, Text, Whole, Word


class Kind(StrEnum):
    DRY = "dry"


class AxleBody(Body):
    position: Annotated[int, Whole()]


class TrailerBody(Body):
    """A trailer."""

    number: Annotated[str, Text(10)] = Field(description="As painted.")
    note: Annotated[str, Text(9, may_be_blank=True)] = ""
    kind: Kind
    axle: AxleBody = ABSENT
    built_at: Instant | None = None


class TrailerChange(TrailerBody, partial=True):
    """The same, left out at will."""


class LookBody(SignedBody):
    at: Expected[Instant]


class TrailerAnswer(Answer):
    kind: Annotated[str, Word(Kind, empty=True)]
    note: str = ""


def schemas(*models: type[BaseModel]) -> dict[str, object]:
    registry = ComponentRegistry()
    for model in models:
        register(model, registry)
    return {name: component.schema for (name, _), component in registry._components.items()}


def test_body__as_it_is_sent() -> None:
    found = schemas(TrailerBody)
    assert found["TrailerBody"] == {
        "type": "object",
        "description": "A trailer.",
        "additionalProperties": False,
        "required": ["number", "kind"],
        "properties": {
            "number": {"type": "string", "minLength": 1, "maxLength": 10, "description": "As painted."},
            "note": {"type": "string", "maxLength": 9},
            "kind": {"$ref": "#/components/schemas/Kind"},
            "axle": {"$ref": "#/components/schemas/AxleBody"},
            "built_at": {"anyOf": [{"type": "string", "format": "date-time"}, {"type": "null"}]},
        },
    }
    assert found["Kind"] == {"type": "string", "enum": ["dry"]}
    assert found["AxleBody"] == {
        "type": "object",
        "additionalProperties": False,
        "required": ["position"],
        "properties": {"position": {"type": "integer", "minimum": 0, "maximum": 2**31 - 1}},
    }


def test_change__nothing_is_required_and_null_is_as_in_the_body() -> None:
    found = schemas(TrailerChange, TrailerBody)
    change, body = found["TrailerChange"], found["TrailerBody"]
    assert isinstance(change, dict)
    assert isinstance(body, dict)
    assert "required" not in change
    assert change["properties"] == body["properties"]


def test_signed_body__what_is_expected_is_required_and_left_overs_are_no_field() -> None:
    assert schemas(LookBody)["LookBody"] == {
        "type": "object",
        "additionalProperties": False,
        "required": ["at"],
        "properties": {"at": {"type": "string", "format": "date-time"}},
    }


def test_answer__every_member_is_there() -> None:
    found = schemas(TrailerAnswer)["TrailerAnswer"]
    assert isinstance(found, dict)
    assert found["required"] == ["kind", "note"]
    assert found["properties"]["kind"] == {"type": "string", "enum": ["dry", ""]}


def test_two_models_of_one_name__refused() -> None:
    other = type("AxleBody", (Body,), {"__annotations__": {"miles": Annotated[int, Whole()]}, "__module__": __name__})
    with pytest.raises(ImproperlyConfigured, match="two schemas are called AxleBody"):
        schemas(TrailerBody, other)
    with pytest.raises(ImproperlyConfigured, match="two schemas are called AxleBody"):
        schemas(other, TrailerBody)
    both = type("Both", (Body,), {"__annotations__": {"a": AxleBody, "b": other}, "__module__": __name__})
    with pytest.raises(ImproperlyConfigured, match="models of one name"):
        schemas(both)


def test_same_model_twice__one_component() -> None:
    assert list(schemas(AxleBody, AxleBody)) == ["AxleBody"]


def test_nothing__no_component() -> None:
    assert schemas(NothingBody) == {}


def test_other_model__refused() -> None:
    with pytest.raises(ImproperlyConfigured, match="neither a Body nor an Answer"):
        schemas(type("Loose", (BaseModel,), {"__annotations__": {}, "__module__": __name__}))
