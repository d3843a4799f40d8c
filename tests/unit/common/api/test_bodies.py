"""A body's faults are all named, each at its place in the body and under our own code."""

from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any, Literal

import pytest
from pydantic import Field, ValidationError
from rest_framework.parsers import JSONParser
from rest_framework.request import Request
from rest_framework.test import APIRequestFactory

from common import messages
from common.api.bodies import ABSENT, Body, NothingBody
from common.api.problem_document import field_error
from common.api.value_problems import problems_of
from common.api.values import Choice, Flag, Text, Whole
from common.errors import MOST_ERRORS, Invalid

SHORT = Annotated[str, Text(3)]


class Kind(StrEnum):
    DRY = "dry"
    COLD = "cold"


class Axle(Body):
    position: Annotated[int, Whole()]


class Reefer(Body):
    kind: Literal["cold"]
    setpoint: Annotated[int, Whole()]


class Van(Body):
    kind: Literal["dry"]
    doors: Annotated[int, Whole()]


class UnitBody(Body):
    number: Annotated[str, Text(10)]
    first: Axle = ABSENT
    axles: Annotated[list[Axle], Field(max_length=3)] = []
    brake: Annotated[str, Choice(["power", "manual", ""])] = ""
    tags: Annotated[list[SHORT], Field(min_length=1, max_length=3)] = ABSENT
    kind: Kind | None = None
    kinds: list[Kind] = []
    sealed: Flag = False
    box: Annotated[Reefer | Van, Field(discriminator="kind")] = ABSENT
    either: Reefer | Van | None = None


class UnitChange(UnitBody, partial=True):
    pass


def faults(data: object, body: type[Body] = UnitBody) -> list[tuple[str, str]]:
    with pytest.raises(ValidationError) as caught:
        body.model_validate(data)
    return [(problem.pointer, problem.code) for problem in problems_of(caught.value, body)]


def test_known_fields__taken() -> None:
    unit = UnitBody.model_validate({"number": " T-7 ", "axles": [{"position": 1}], "kind": None})
    assert unit.changes() == {"number": "T-7", "axles": [Axle(position=1)], "kind": None}


@pytest.mark.parametrize(
    ("data", "found"),
    [
        ({"number": "T", "extra": 1}, [("/extra", "unknown_field")]),
        ({"extra": 1}, [("/number", "required"), ("/extra", "unknown_field")]),
        ({"number": None}, [("/number", "null")]),
        ({"number": "T", "sealed": None}, [("/sealed", "null")]),
        ({"number": "T", "sealed": "true"}, [("/sealed", "not_a_flag")]),
        ({"number": "T", "first": {"position": 1, "x/y~": 2}}, [("/first/x~1y~0", "unknown_field")]),
        (
            {"number": "T", "axles": [{"position": 1}, {"position": "2", "x": 2}, {}]},
            [("/axles/1/position", "not_whole"), ("/axles/1/x", "unknown_field"), ("/axles/2/position", "required")],
        ),
        ({"number": "T", "first": []}, [("/first", "not_a_dict")]),
        ({"number": "T", "axles": {}}, [("/axles", "not_a_list")]),
        ({"number": "T", "axles": [{"position": 1}] * 4}, [("/axles", "too_many")]),
        ({"number": "T", "tags": []}, [("/tags", "empty")]),
        ({"number": "T", "tags": ["a", "long", 5]}, [("/tags/1", "max_length"), ("/tags/2", "not_text")]),
        ({"number": "T", "kind": "warm"}, [("/kind", "invalid_choice")]),
        ({"number": "T", "kinds": ["dry", 5, {}]}, [("/kinds/1", "invalid_choice"), ("/kinds/2", "invalid_choice")]),
        ([], [("", "not_a_dict")]),
        (None, [("", "null")]),
    ],
)
def test_what_is_wrong__pointer_and_code_of_each(data: object, found: list[tuple[str, str]]) -> None:
    assert faults(data) == found


@pytest.mark.parametrize(
    ("box", "found"),
    [
        ({"kind": "cold"}, [("/box/setpoint", "required")]),
        ({"kind": "dry", "doors": "2", "x": 1}, [("/box/doors", "not_whole"), ("/box/x", "unknown_field")]),
        ({"kind": "warm"}, [("/box", "invalid_choice")]),
        ({}, [("/box", "required")]),
    ],
)
def test_union__no_tag_in_the_pointer(box: object, found: list[tuple[str, str]]) -> None:
    assert faults({"number": "T", "box": box}) == found


def test_union_without_a_tag__places_in_the_body_alone() -> None:
    found = faults({"number": "T", "either": {"kind": "cold", "setpoint": "x"}})
    assert {place for place, _ in found} <= {"/either/kind", "/either/setpoint", "/either/doors"}
    assert ("/either/setpoint", "not_whole") in found


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"kind": "warm"}, "Invalid choice. Use one of: dry, cold."),
        ({"kinds": ["dry", "warm"]}, "Invalid choice. Use one of: dry, cold."),
        ({"brake": "hand"}, "Invalid choice. Use one of: power, manual."),
        ({"first": {"position": 1, "at": 1}}, "Unknown field. Use: position."),
    ],
)
def test_wrong_word__the_right_ones_are_named(more: dict[str, object], says: str) -> None:
    with pytest.raises(ValidationError) as caught:
        UnitBody.model_validate({"number": "T", **more})
    [problem] = problems_of(caught.value, UnitBody)
    assert field_error(problem)["detail"] == says


def test_every_code__has_its_sentence() -> None:
    data = {"axles": [{}, 5], "tags": [5], "kind": 1, "sealed": 1, "box": {}, "first": {"position": -1}, "extra": 1}
    assert {code for _, code in faults(data)} <= set(messages.registered_codes())


def test_many_faults__the_first_are_told() -> None:
    assert len(faults({"number": "T", **{f"x{count}": 0 for count in range(500)}})) == MOST_ERRORS


def test_patch__what_was_not_sent_is_absent_and_null_is_none() -> None:
    change = UnitChange.model_validate({"kind": None, "tags": ["a"]})
    assert change.changes() == {"kind": None, "tags": ["a"]}
    assert UnitChange.model_validate({}).changes() == {}
    assert faults({"number": None, "first": {}, "extra": 1}, UnitChange) == [
        ("/number", "null"),
        ("/first/position", "required"),
        ("/extra", "unknown_field"),
    ]
    assert faults({}) == [("/number", "required")]


def test_request__one_problem_with_all_that_is_wrong() -> None:
    sent = APIRequestFactory().post("/", {"position": "2"}, format="json")
    with pytest.raises(Invalid) as caught:
        Axle.read(Request(sent, parsers=[JSONParser()]))
    assert (caught.value.code, [problem.pointer for problem in caught.value.problems]) == ("invalid", ["/position"])


def test_nothing__a_body_with_fields_is_refused() -> None:
    assert NothingBody.model_validate({}).changes() == {}
    assert faults({"x": 1}, NothingBody) == [("/x", "unknown_field")]


@pytest.mark.parametrize("kind", [str, list[str], dict[str, bool], Decimal | None, Annotated[int, Field(ge=1)]])
def test_plain_type__refused_when_the_class_is_made(kind: Any) -> None:
    with pytest.raises(TypeError, match="Loose: say which kind of value is read for name"):
        type("Loose", (Body,), {"__annotations__": {"name": kind}, "__module__": __name__})
