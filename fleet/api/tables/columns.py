"""What a table to be filled in is made of: its columns, each read by the field that reads a single entry."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from rest_framework import serializers

from fleet.enums import Role
from fleet.services.imports.run import Table

Field = serializers.Field[Any, Any, Any, Any]


@dataclass(frozen=True)
class Column:
    """One column: its name in the header, what it is for, and the example's cell ("" for one left empty).

    `needed`: no row can do without it. `exact`: digits are a name and no number, so that a cell which lost its
    leading zeros to a number is refused. `choices` are all that may stand there, where there is such a list.
    """

    name: str
    field: Field
    help: Promise
    example: str = ""
    needed: bool = False
    exact: bool = False
    choices: Sequence[str] = ()


@dataclass(frozen=True)
class TableForm:
    """A table that can be taken in, and by whom."""

    table: Table
    roles: frozenset[Role]
    columns: Sequence[Column]
    purpose: Promise

    @property
    def by_name(self) -> Mapping[str, Column]:
        """Return the columns by their names."""
        return {column.name: column for column in self.columns}

    @property
    def example(self) -> Sequence[str]:
        """Return the cells of the row that explains the table."""
        return [column.example for column in self.columns]


def columns_of(
    fields: Mapping[str, Field],
    helps: Mapping[str, Promise],
    examples: Mapping[str, str],
    *,
    needed: frozenset[str] = frozenset(),
    exact: frozenset[str] = frozenset(),
) -> tuple[Column, ...]:
    """Return a column for each of `helps`, in that order; KeyError for one that no field reads."""
    return tuple(
        Column(
            name,
            fields[name],
            text,
            examples.get(name, ""),
            needed=name in needed,
            exact=name in exact,
            choices=_choices(fields[name]),
        )
        for name, text in helps.items()
    )


def _choices(field: Field) -> Sequence[str]:
    if isinstance(field, serializers.ChoiceField):
        return [str(choice) for choice in field.choices]
    return ("true", "false") if isinstance(field, serializers.BooleanField) else ()
