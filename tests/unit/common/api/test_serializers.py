"""A body's unknown fields are refused at their places, and every error finds its pointer."""

from typing import Any

import pytest
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from common import messages
from common.api.fields import TextField, WholeField
from common.api.pointers import flatten
from common.api.serializers import StrictSerializer
from common.errors import MOST_ERRORS
from common.messages import Message
from common.pointers import pointer


class Axle(StrictSerializer):
    """One axle."""

    position = WholeField()


class Unit(StrictSerializer):
    """A unit with nested parts."""

    number = TextField(max_length=10)
    state = serializers.CharField(read_only=True)
    first = Axle(required=False)
    axles = Axle(many=True, required=False)
    tags = serializers.ListField(child=TextField(max_length=3), required=False)
    kind = serializers.ChoiceField(choices=["dry", "cold"], required=False)
    kinds = serializers.ListField(child=serializers.ChoiceField(choices=["dry", "cold"]), required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["number"] == "odd":
            raise serializers.ValidationError("odd", code="odd")
        return attrs


def faults(data: object) -> list[tuple[str, str]]:
    with pytest.raises(ValidationError) as caught:
        Unit(data=data).is_valid(raise_exception=True)
    return [(place, str(detail.code)) for place, detail in flatten(caught.value.detail)]


def flatten_codes(body: StrictSerializer) -> list[tuple[str, str]]:
    assert not body.is_valid()
    return [(place, str(detail.code)) for place, detail in flatten(body.errors)]


def test_known_fields__taken() -> None:
    unit = Unit(data={"number": " T-7 ", "axles": [{"position": 1}]})
    unit.is_valid(raise_exception=True)
    assert unit.validated_data == {"number": "T-7", "axles": [{"position": 1}]}


@pytest.mark.parametrize(
    ("data", "found"),
    [
        ({"number": "T", "extra": 1}, [("/extra", "unknown_field")]),
        ({"number": "T", "state": "open"}, [("/state", "unknown_field")]),
        ({"extra": 1}, [("/number", "required"), ("/extra", "unknown_field")]),
        ({"number": "T", "first": {"position": 1, "x/y~": 2}}, [("/first/x~1y~0", "unknown_field")]),
        (
            {"number": "T", "axles": [{"position": 1}, {"position": "2", "x": 2}, {}]},
            [("/axles/1/position", "not_whole"), ("/axles/1/x", "unknown_field"), ("/axles/2/position", "required")],
        ),
        ({"number": "T", "first": []}, [("/first", "invalid")]),
        ({"number": "T", "axles": {}}, [("/axles", "not_a_list")]),
        ({"number": "T", "tags": ["a", "long", 5]}, [("/tags/1", "max_length"), ("/tags/2", "not_text")]),
        ({"number": "odd"}, [("", "odd")]),
        ([], [("", "invalid")]),
        (None, [("", "null")]),
    ],
)
def test_what_is_wrong__pointer_and_code_of_each(data: object, found: list[tuple[str, str]]) -> None:
    assert faults(data) == found


@pytest.mark.parametrize(
    ("more", "place", "says"),
    [
        ({"kind": "warm"}, "/kind", "Invalid choice. Use one of: dry, cold."),
        ({"kinds": ["dry", "warm"]}, "/kinds/1", "Invalid choice. Use one of: dry, cold."),
        ({"first": {"at": 1}}, "/first/at", "Unknown field. Use: position."),
    ],
)
def test_wrong_word__the_right_ones_are_named(more: dict[str, object], place: str, says: str) -> None:
    with pytest.raises(ValidationError) as caught:
        Unit(data={"number": "T", **more}).is_valid(raise_exception=True)
    assert {where: str(detail) for where, detail in flatten(caught.value.detail)}[place] == says


def test_many_unknown_fields__one_sentence_worded_once(monkeypatch: pytest.MonkeyPatch) -> None:
    worded: list[str] = []

    def render(message: Message, language: str) -> str:
        worded.append(message.code)
        return message.code

    monkeypatch.setattr(messages, "render", render)
    found = faults({"number": "T", **{f"x{count}": 0 for count in range(500)}})
    assert len(found) == MOST_ERRORS
    assert worded == ["unknown_field"]


def test_list_longer_than_it_may_be__not_read_to_its_end() -> None:
    """As large a body as is read holds hundreds of thousands of items, and each would be worded."""

    class Tagged(StrictSerializer):
        tags = serializers.ListField(child=TextField(max_length=3), max_length=2)

    tagged = Tagged(data={"tags": [5] * 500})
    assert not tagged.is_valid()
    assert len(list(flatten(tagged.errors))) == 3
    assert flatten_codes(Tagged(data={"tags": ["a"] * 500})) == [("/tags", "max_length")]
    assert flatten_codes(Tagged(data={"tags": ["a"] * 3})) == [("/tags", "max_length")]
    assert Tagged(data={"tags": ["a", "b"]}).is_valid()


def test_partial_update__unknown_field_refused_as_well() -> None:
    with pytest.raises(ValidationError) as caught:
        Unit(data={"extra": 1}, partial=True).is_valid(raise_exception=True)
    assert [place for place, _ in flatten(caught.value.detail)] == ["/extra"]


def test_plain_text_field__refused_when_the_class_is_made() -> None:
    with pytest.raises(TypeError, match="Loose: use TextField for name, names"):

        class Loose(StrictSerializer):
            name = serializers.CharField()
            names = serializers.ListField(child=serializers.CharField())
            shown = serializers.CharField(read_only=True)


def test_pointer__escapes_as_rfc_6901() -> None:
    assert pointer(["a/b", "m~n", 0, ""]) == "/a~1b/m~0n/0/"
    assert pointer([]) == ""


def test_detail_of_another_kind__a_mistake_in_the_code() -> None:
    with pytest.raises(TypeError):
        list(flatten({"a": 1}))


def test_list_of_errors_under_one_name__one_place() -> None:
    detail = {"a": [ErrorDetail("x", "one"), ErrorDetail("y", "two")]}
    assert [(place, item.code) for place, item in flatten(detail)] == [("/a", "one"), ("/a", "two")]
