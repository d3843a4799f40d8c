"""What a table to be filled in is made of: its columns, each read by the kind of value that reads a single entry."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Annotated, Any, get_args, get_origin

from django.utils.functional import Promise
from pydantic import BaseModel, TypeAdapter
from pydantic.fields import FieldInfo

from common.api.value_problems import members_of
from common.api.values import Choice
from fleet.enums import Role
from fleet.services.imports.run import Table

Kind = Any
"""An annotated type, as a body's field has it."""


@dataclass(frozen=True)
class Column:
    """One column: its name in the header, what it is for, and the example's cell ("" for one left empty).

    `needed`: no row can do without it. `exact`: digits are a name and no number, so that a cell which lost its
    leading zeros to a number is refused. `choices` are all that may stand there, where there is such a list.
    """

    name: str
    kind: Kind
    help: Promise
    example: str = ""
    needed: bool = False
    exact: bool = False
    choices: Sequence[str] = ()

    @cached_property
    def type(self) -> type:
        """What its values are: texts, numbers, days, instants, flags or words of a closed set."""
        [found] = members_of(self.kind)
        return get_origin(found) or found  # type: ignore[no-any-return]  # of an annotated type

    @cached_property
    def reader(self) -> TypeAdapter[Any]:
        """What reads a value."""
        return TypeAdapter(self.kind)


@dataclass(frozen=True)
class TableForm:
    """A table that can be taken in, and by whom."""

    table: Table
    roles: frozenset[Role]
    columns: Sequence[Column]
    purpose: Promise

    @property
    def by_name(self) -> Mapping[str, Column]:
        return {column.name: column for column in self.columns}

    @property
    def example(self) -> Sequence[str]:
        """Return the cells of the row that explains the table."""
        return [column.example for column in self.columns]


def columns_of(
    kinds: Mapping[str, Kind],
    helps: Mapping[str, Promise],
    examples: Mapping[str, str],
    *,
    needed: frozenset[str] = frozenset(),
    exact: frozenset[str] = frozenset(),
) -> tuple[Column, ...]:
    """Return a column for each of `helps`, in that order; KeyError for one that no kind reads."""
    return tuple(
        Column(
            name,
            kinds[name],
            text,
            examples.get(name, ""),
            needed=name in needed,
            exact=name in exact,
            choices=_choices(kinds[name]),
        )
        for name, text in helps.items()
    )


def kinds_in(body: type[BaseModel]) -> dict[str, Kind]:
    """Return the kinds of value of a body's fields."""
    return {name: _kind(field) for name, field in body.model_fields.items()}


def _kind(field: FieldInfo) -> Kind:
    return Annotated[(field.annotation, *field.metadata)] if field.metadata else field.annotation


def _choices(kind: Kind) -> Sequence[str]:
    found = [each for each in get_args(kind) if isinstance(each, Choice)]
    if found:
        return [word for word in found[0].words if word]
    [member] = members_of(kind)
    if member is bool:
        return ("true", "false")
    return [str(word) for word in member] if isinstance(member, type) and issubclass(member, StrEnum) else ()
