"""Reading one table of a catalogue document strictly: every key known, typed and used once. Knows no point."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import TypeVar

Choice = TypeVar("Choice", bound=StrEnum)

_DECIMAL = re.compile(r"-?[0-9]+(\.[0-9]+)?")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a catalogue document: the file, the point and the field, and what is wrong."""

    file: str
    point: str
    field: str
    message: str

    def __str__(self) -> str:
        where = ": ".join(part for part in (self.file, self.point, self.field) if part)
        return f"{where}: {self.message}"


@dataclass(slots=True)
class Table:
    """One table, read key by key. What is wrong is added to `problems`, and a harmless value is returned instead.

    Call `finish` at the end: keys that nobody read are problems.
    """

    content: Mapping[str, object]
    problems: list[Problem]
    file: str = ""
    point: str = ""
    path: str = ""
    read: set[str] = field(default_factory=set)

    def problem(self, key: str, message: str) -> None:
        """Add a problem at a key of this table."""
        self.problems.append(Problem(self.file, self.point, f"{self.path}{key}", message))

    def has(self, key: str) -> bool:
        """Whether the key is given at all."""
        return key in self.content

    def text(self, key: str, *, pattern: str = r"(?s).*\S.*", default: str | None = None) -> str:
        """A text that matches a pattern whole; by default, one that is not blank."""
        value = self._value(key, required=default is None)
        if value is None:
            return default or ""
        if not isinstance(value, str) or re.fullmatch(pattern, value) is None:
            self.problem(key, f"is not a text of the form {pattern}" if isinstance(value, str) else "is not a text")
            return default or ""
        return value

    def flag(self, key: str) -> bool:
        """True or false; false when it is not given."""
        value = self._value(key, required=False)
        if value is not None and not isinstance(value, bool):
            self.problem(key, "is neither true nor false")
        return value is True

    def whole(self, key: str) -> int:
        """A whole number of 0 or more."""
        value = self._value(key, required=True)
        if key not in self.content:
            return 0
        if not isinstance(value, int) or isinstance(value, bool) or value < 0:
            self.problem(key, "is not a whole number of 0 or more")
            return 0
        return value

    def decimal(self, key: str) -> Decimal:
        """An exact decimal, written as a number or as text such as "1.375"."""
        if key not in self.content:
            self._value(key, required=True)
        return self.decimal_or_none(key) or Decimal(0)

    def decimal_or_none(self, key: str) -> Decimal | None:
        """An exact decimal, or None when it is not given."""
        value = self._value(key, required=False)
        found = None if value is None else as_decimal(value)
        if value is not None and found is None:
            self.problem(key, "is not an exact decimal")
        return found

    def day(self, key: str) -> date | None:
        """A day, as a date or as text YYYY-MM-DD; None when it is not given."""
        value = self._value(key, required=False)
        found = None if value is None else as_day(value)
        if value is not None and found is None:
            self.problem(key, "is not a day")
        return found

    def choice(self, key: str, words: type[Choice], *, default: Choice | None = None) -> Choice:
        """One word of a closed vocabulary."""
        value = self._value(key, required=default is None)
        if value is None:
            return next(iter(words)) if default is None else default
        return self._word(key, value, words)

    def choices(self, key: str, words: type[Choice], *, required: bool = False) -> tuple[Choice, ...]:
        """Several different words of a closed vocabulary, at least one if required."""
        items = self.items(key, required=required)
        found = tuple(self._word(key, item, words) for item in items)
        if len(set(found)) != len(found):
            self.problem(key, "names a word twice")
        return found

    def texts(self, key: str) -> tuple[str, ...]:
        """Several texts; empty when it is not given."""
        items = self.items(key)
        if not all(isinstance(item, str) and item for item in items):
            self.problem(key, "is not a list of texts")
        return tuple(str(item) for item in items)

    def items(self, key: str, *, required: bool = False) -> list[object]:
        """A list, not empty if required."""
        value = self._value(key, required=required)
        if value is None:
            return []
        if not isinstance(value, list) or (required and not value):
            self.problem(key, "is not a list with something in it" if required else "is not a list")
            return []
        return value

    def table(self, key: str) -> "Table | None":
        """A table inside this one, or None when it is not given."""
        value = self._value(key, required=False)
        if value is None:
            return None
        return self._inner(key, value, f"{self.path}{key}.")

    def tables(self, key: str) -> list["Table"]:
        """A list of tables inside this one."""
        return [self._inner(key, item, f"{self.path}{key}[{index}].") for index, item in enumerate(self.items(key))]

    def finish(self) -> None:
        """Report the keys that nobody read."""
        for key in sorted(set(self.content) - self.read):
            self.problem(key, "is not known here")

    def _value(self, key: str, *, required: bool) -> object | None:
        self.read.add(key)
        if key not in self.content:
            if required:
                self.problem(key, "is missing")
            return None
        return self.content[key]

    def _word(self, key: str, value: object, words: type[Choice]) -> Choice:
        for word in words:
            if word == value:
                return word
        self.problem(key, f"{value!r} is none of {', '.join(words)}")
        return next(iter(words))

    def _inner(self, key: str, value: object, path: str) -> "Table":
        if not isinstance(value, Mapping):
            self.problem(key, "is not a table")
            return Table({}, [], self.file, self.point, path)
        return Table(value, self.problems, self.file, self.point, path)


def as_decimal(value: object) -> Decimal | None:
    """The exact decimal of a whole number, a Decimal or a plain text; None for anything else, floats included."""
    if isinstance(value, bool) or not isinstance(value, int | Decimal | str):
        return None
    if isinstance(value, str) and _DECIMAL.fullmatch(value) is None:
        return None
    try:
        found = Decimal(value)
    except InvalidOperation:
        return None
    return found if found.is_finite() else None


def as_day(value: object) -> date | None:
    """The day of a date or of a text YYYY-MM-DD; None for anything else."""
    if isinstance(value, datetime):
        return None
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None
