"""From what pydantic found wrong with a body to our own problems: the pointer into the body, our code, its facts."""

from collections.abc import Iterator, Mapping, Sequence
from enum import Enum
from functools import lru_cache
from itertools import islice
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from common.errors import MOST_ERRORS, FieldProblem, pointer

CODES: Mapping[str, str] = {
    "missing": "required",
    "extra_forbidden": "unknown_field",
    "model_type": "not_a_dict",
    "model_attributes_type": "not_a_dict",
    "dict_type": "not_a_dict",
    "list_type": "not_a_list",
    "too_short": "empty",
    "too_long": "too_many",
    "bool_type": "not_a_flag",
    "int_type": "not_whole",
    "greater_than_equal": "min_value",
    "less_than_equal": "max_value",
    "enum": "invalid_choice",
    "literal_error": "invalid_choice",
    "union_tag_invalid": "invalid_choice",
    "union_tag_not_found": "required",
}
"""Pydantic's own types of errors that bodies meet; every other type is a code of ours."""

Place = tuple[str | int, ...]


def problems_of(error: ValidationError, model: type[BaseModel]) -> list[FieldProblem]:
    """Return the first of what is wrong, in the order in which pydantic found it."""
    return [_problem(each, model) for each in islice(error.errors(include_url=False), MOST_ERRORS)]


def code_of(error: ErrorDetails) -> str:
    """Return our code: null is told as such, except where a value of another kind was left out."""
    code = CODES.get(error["type"], error["type"])
    if code == "empty" and error["input"]:
        return "min_length"
    return "null" if error["input"] is None and code not in {"required", "unknown_field", "blank"} else code


def _problem(error: ErrorDetails, model: type[BaseModel]) -> FieldProblem:
    place, kind = _found(error["loc"], model)
    code = code_of(error)
    facts: dict[str, object] = {}
    if code == "unknown_field":
        facts["known"] = sorted(_names(_owner(error["loc"][:-1], model)))
    elif code == "invalid_choice":
        allowed = error.get("ctx", {}).get("allowed") or _allowed(kind)
        facts["allowed"] = [word for word in allowed if word]
    elif code == "too_many":
        facts["most"] = error.get("ctx", {}).get("max_length")
    return FieldProblem(pointer(place), code, facts)


def place_of(location: Place, model: type[BaseModel]) -> Place:
    """Return the place in the body, without the names by which pydantic tells the members of a union apart."""
    return _found(location, model)[0]


def field_at(place: Place, model: type[BaseModel]) -> FieldInfo | None:
    """Return the field at a place in the body, None for an item of a list and for what the models do not know."""
    owner = _owner(place[:-1], model)
    return owner.model_fields.get(str(place[-1])) if isinstance(owner, type) and issubclass(owner, BaseModel) else None


def _found(location: Place, model: type[BaseModel]) -> tuple[Place, Any]:
    """The place of a location in the body, and what is read there."""
    if not location:
        return (), model
    place, kind = _above(location[:-1], model)
    return _step(place, kind, location[-1])


@lru_cache(maxsize=512)  # many errors lie in one object, and each way down to it is the same
def _above(location: Place, model: type[BaseModel]) -> tuple[Place, Any]:
    return _found(location, model)


def _step(place: Place, kind: Any, part: str | int) -> tuple[Place, Any]:
    members = members_of(kind)
    if len(members) == 1:
        return (*place, part), _inside(members[0], part)
    return place, next((each for each in members if _tag(each, part)), Any)  # the part names one of them


def _owner(location: Place, model: type[BaseModel]) -> Any:
    members = members_of(_above(location, model)[1])
    return members[0] if len(members) == 1 else Any


def _bare(kind: Any) -> Any:
    while get_origin(kind) is Annotated:
        kind = get_args(kind)[0]
    return kind


def members_of(kind: Any) -> list[Any]:
    """Return what a union may be besides null, without annotations; of any other kind itself."""
    kind = _bare(kind)
    if get_origin(kind) not in {Union, UnionType}:
        return [kind]
    return [_bare(each) for each in get_args(kind) if each is not type(None)]


def _tag(kind: Any, part: str | int) -> bool:
    if not (isinstance(kind, type) and issubclass(kind, BaseModel)):
        return False
    tags = (
        get_args(field.annotation) for field in kind.model_fields.values() if get_origin(field.annotation) is Literal
    )
    return kind.__name__ == part or any(part in tag for tag in tags)


def _inside(kind: Any, part: str | int) -> Any:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        field = kind.model_fields.get(str(part))
        return Any if field is None else field.annotation
    inner = get_args(kind)
    return inner[-1] if inner and get_origin(kind) in {list, dict} else Any


def _names(kind: Any) -> Iterator[str]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield from (name for name, field in kind.model_fields.items() if field.alias is None)


def _allowed(kind: Any) -> list[str]:
    found = [member for each in members_of(kind) for member in _choices(each)]
    return [str(member.value if isinstance(member, Enum) else member) for member in found]


def _choices(kind: Any) -> Sequence[Any]:
    if get_origin(kind) is Literal:
        return get_args(kind)
    return list(kind) if isinstance(kind, type) and issubclass(kind, Enum) else ()
