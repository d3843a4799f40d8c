"""The `period` table of a kind of paper: which rule it names, with which fields. Reads no file."""

import re
from calendar import monthrange
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from fleet.rules.documents.periods import (
    BiennialByNumber,
    CalendarYear,
    ExplicitDate,
    MonthsFromStart,
    NoEnd,
    PeriodRule,
    UseTaxYear,
    YearsAfterModelYear,
)

_NO_LEAP_YEAR = 2023
_MONTH_AND_DAY = re.compile(r"(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])")
_RULES: Mapping[str, tuple[Mapping[str, type], frozenset[str], Callable[[Mapping[str, Any]], PeriodRule]]] = {
    ExplicitDate.name: (
        {"may_be_permanent": bool},
        frozenset(),
        lambda table: ExplicitDate(may_be_permanent=table.get("may_be_permanent", False)),
    ),
    MonthsFromStart.name: ({"months": int}, frozenset({"months"}), lambda table: MonthsFromStart(table["months"])),
    CalendarYear.name: (
        {"aboard_by": str},
        frozenset(),
        lambda table: CalendarYear(_month_and_day(table["aboard_by"]) if "aboard_by" in table else None),
    ),
    UseTaxYear.name: ({}, frozenset(), lambda _: UseTaxYear()),
    BiennialByNumber.name: ({}, frozenset(), lambda _: BiennialByNumber()),
    YearsAfterModelYear.name: (
        {"years": int},
        frozenset({"years"}),
        lambda table: YearsAfterModelYear(table["years"]),
    ),
    NoEnd.name: ({}, frozenset(), lambda _: NoEnd()),
}
"""By rule: its fields with their types, those it cannot do without, and how it is made."""


def rule_faults(table: Mapping[str, Any]) -> Iterator[str]:
    """What is wrong with a `period` table; nothing for a sound one."""
    name = table.get("rule")
    if not isinstance(name, str) or name not in _RULES:
        yield f"rule must be one of {', '.join(_RULES)}"
        return
    fields, needed, _ = _RULES[name]
    yield from (f"{name} needs {field}" for field in sorted(needed - table.keys()))
    for field in sorted(table.keys() - {"rule"}):
        if field not in fields:
            yield f"{name} has no field {field}"
        elif type(table[field]) is not fields[field]:
            yield f"{field} must be of type {fields[field].__name__}"
        elif fields[field] is int and table[field] < 1:
            yield f"{field} must be at least 1"
        elif fields[field] is str and not _is_day_of_every_year(table[field]):
            yield f"{field} must be a month and a day, like 03-01"


def parse_rule(table: Mapping[str, Any]) -> PeriodRule:
    """The rule of a `period` table in which `rule_faults` found nothing."""
    return _RULES[table["rule"]][2](table)


def _is_day_of_every_year(text: str) -> bool:
    if not _MONTH_AND_DAY.fullmatch(text):
        return False
    month, day = _month_and_day(text)
    return day <= monthrange(_NO_LEAP_YEAR, month)[1]


def _month_and_day(text: str) -> tuple[int, int]:
    month, day = text.split("-")
    return int(month), int(day)
