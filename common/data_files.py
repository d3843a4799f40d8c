"""Reading data files by pydantic models: exact values, and what is wrong with each place in the words of a person."""

import re
from collections.abc import Hashable, Sequence, Sized
from datetime import date
from decimal import Decimal
from typing import Annotated, TypeVar

from pydantic import AfterValidator, BeforeValidator, ConfigDict, Field, Strict, ValidationError
from pydantic_core import PydanticCustomError

CLOSED = ConfigDict(extra="forbid", validate_by_name=True, validate_by_alias=True)
"""A table in which every key is known."""

_DECIMAL = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_MESSAGES = {
    "missing": "is missing",
    "extra_forbidden": "is not known here",
    "unexpected_keyword_argument": "is not known here",
}
_FOLLOWS = "default_factory_not_called"
"""What pydantic says of a default that another, faulty field decides: the other field is the fault."""

Several = TypeVar("Several", bound=Sequence[Hashable])
Filled = TypeVar("Filled", bound=Sized)


def faults(error: ValidationError, *, chosen: object = None) -> list[tuple[str, str]]:
    """Every fault as its place, such as `limit[0].source.basis`, and what is wrong there, in the fields' order.

    `chosen` is the word by which a union chooses its form: pydantic puts it into the place, where no field is.
    """
    unsaid = ("[key]", chosen)
    found = []
    for one in error.errors(include_url=False, include_context=False, include_input=False):
        if one["type"] != _FOLLOWS:
            parts = [f"[{part}]" if isinstance(part, int) else f".{part}" for part in one["loc"] if part not in unsaid]
            found.append(("".join(parts).removeprefix("."), _MESSAGES.get(one["type"], one["msg"])))
    return found


def _exact(value: object) -> object:
    if isinstance(value, bool | float) or (isinstance(value, str) and _DECIMAL.fullmatch(value) is None):
        raise PydanticCustomError("exact_decimal", "is not an exact decimal")
    return value


def _day(value: object) -> object:
    return date.fromisoformat(value) if isinstance(value, str) else value


def _some(values: Filled) -> Filled:
    if not values:
        raise PydanticCustomError("nothing", "names nothing")
    return values


def _once(values: Several) -> Several:
    if len(set(values)) != len(values):
        raise PydanticCustomError("twice", "names something twice")
    return values


Exact = Annotated[Decimal, BeforeValidator(_exact)]
"""A whole number, a Decimal or a plain text such as "1.375"; never a float."""
Day = Annotated[date, Strict(), BeforeValidator(_day)]
"""A date, or a text YYYY-MM-DD."""
Text = Annotated[str, Field(pattern=r"\S")]
"""A text that is not blank."""
Some = AfterValidator(_some)
"""Of a list: something in it."""
Once = AfterValidator(_once)
"""Of a list: nothing in it twice."""
