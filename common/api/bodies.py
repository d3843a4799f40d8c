"""The base of what a desk sends: read strictly, every fault of it named with its place in the body."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Any, Protocol, Self, get_args, get_origin
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Strict, ValidationError

from common.api.value_problems import problems_of
from common.api.values import Value
from common.errors import Invalid

LOOSE = frozenset({str, int, float, bool, Decimal, datetime, date, UUID})
"""Types that pydantic reads from many spellings; the kinds of `common.api.values` from one."""

ABSENT: Any = None
"""The default of a field that may be left out, and may not be null: what is sent is in `changes` alone."""


class Parsed(Protocol):
    """A request whose body is parsed."""

    @property
    def data(self) -> Any:
        """The JSON value."""


class Body(BaseModel):
    """A JSON object with the fields listed here and no others.

    A field annotated with a plain `str` or number is refused when the class is made (TypeError): use the kinds of
    `common.api.values`. `class UnitChange(UnitBody, partial=True)` is the same body with every field left out at will,
    as PATCH takes it; read it by `changes`, in which a field that was not sent is absent, and null is None.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    def __init_subclass__(cls, *, partial: bool = False, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)

    @classmethod
    def __pydantic_init_subclass__(cls, *, partial: bool = False, **kwargs: Any) -> None:
        super().__pydantic_init_subclass__(**kwargs)
        loose = [
            name
            for name, field in cls.model_fields.items()
            if not _says_its_kind(field.metadata) and _is_loose(field.annotation)
        ]
        if loose:
            msg = f"{cls.__name__}: say which kind of value is read for {', '.join(loose)}"
            raise TypeError(msg)
        if partial:
            for field in cls.model_fields.values():
                field.default, field.default_factory = ABSENT, None
            cls.model_rebuild(force=True)

    @classmethod
    def read(cls, request: Parsed) -> Self:
        """Return the body of a request; Invalid `invalid` with a problem for each value that is refused."""
        try:
            return cls.model_validate(request.data)
        except ValidationError as error:
            raise Invalid("invalid", problems=problems_of(error, cls)) from error

    def changes(self) -> dict[str, Any]:
        """Return the fields that were sent, by name."""
        return {name: getattr(self, name) for name in type(self).model_fields if name in self.model_fields_set}


class NothingBody(Body):
    """A move that needs no more than saying so: a body may be left out, and has no fields."""


def _says_its_kind(metadata: Iterable[object]) -> bool:
    return any(isinstance(each, Value | Strict) for each in metadata)


def _is_loose(kind: Any) -> bool:
    return any(each in LOOSE for each in _leaves(kind))


def _leaves(kind: Any) -> Iterator[Any]:
    inner = get_args(kind)
    if get_origin(kind) is Annotated:
        if _says_its_kind(kind.__metadata__):
            return
        inner = inner[:1]
    if not inner:
        yield kind
    for each in inner:
        yield from _leaves(each)
