"""Reads the kinds of paper from their TOML text and lists every problem in it. Decides nothing about a paper."""

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import Any

from fleet.rules.documents.kinds import CONDITIONS, SUBJECTS, DocumentKind, Source
from fleet.rules.documents.rule_fields import parse_rule, rule_faults
from fleet.rules.documents.states import DEFAULT_LEAD_DAYS, OVERDUE_EVERY_DAYS
from fleet.rules.records.retention import RECORD_KINDS

CATALOGUE_FILE = Path(__file__).resolve().parents[2] / "catalogue" / "document_kinds.toml"
BASES = frozenset({"read", "memory"})
LANGUAGES = ("en", "es")
_STATES = (
    "AL AK AZ AR CA CO CT DE DC FL GA HI ID IL IN IA KS KY LA ME MD MA MI MN MS MO MT NE NV NH NJ NM NY NC ND OH OK OR "
    "PA RI SC SD TN TX UT VT VA WA WV WI WY"
)
STATES = frozenset(_STATES.split())
_NAME = re.compile(r"[a-z][a-z0-9_]{1,46}[a-z0-9]")


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault of the text: where (kind and field) and what."""

    where: str
    what: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"


class MalformedDocumentKinds(ValueError):
    """The text holds at least one fault; `problems` has all of them."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(map(str, problems)))
        self.problems = problems


@lru_cache
def load_document_kinds(file: Path = CATALOGUE_FILE) -> Mapping[str, DocumentKind]:
    """The kinds of a file by name, in its order. Raises MalformedDocumentKinds, or OSError if it cannot be read."""
    return parse_document_kinds(file.read_text(encoding="utf-8"))


def parse_document_kinds(text: str) -> Mapping[str, DocumentKind]:
    """The kinds written in a TOML text, by name, in its order. Raises MalformedDocumentKinds with every problem."""
    problems = document_kind_problems(text)
    if problems:
        raise MalformedDocumentKinds(problems)
    return MappingProxyType({row["name"]: _kind(row) for row in tomllib.loads(text)["kind"]})


def document_kind_problems(text: str) -> tuple[Problem, ...]:
    """Every problem of the text, none for a sound one."""
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        return (Problem("file", f"not TOML: {fault}"),)
    rows = document.get("kind")
    if set(document) != {"kind"} or not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        return (Problem("file", "must hold [[kind]] tables and nothing else"),)
    return (*_row_problems(rows), *_repeated_names(rows))


def _row_problems(rows: list[dict[str, Any]]) -> Iterator[Problem]:
    for position, row in enumerate(rows, start=1):
        label = row["name"] if isinstance(row.get("name"), str) else f"kind {position}"
        yield from (Problem(f"{label}.{field}", what) for field, what in _faults(row))


def _repeated_names(rows: list[dict[str, Any]]) -> Iterator[Problem]:
    names = [row["name"] for row in rows if isinstance(row.get("name"), str)]
    yield from (Problem(f"{name}.name", "is used twice") for name in sorted({n for n in names if names.count(n) > 1}))


def _faults(row: dict[str, Any]) -> Iterator[tuple[str, str]]:
    yield from ((field, "is not known") for field in sorted(row.keys() - _FIELDS.keys()))
    for field, (wanted, needed, check) in _FIELDS.items():
        if field not in row:
            if needed:
                yield field, "is missing"
        elif type(row[field]) is not wanted:
            yield field, f"must be of type {wanted.__name__}"
        else:
            yield from ((field, what) for what in check(row[field]))
    if row.get("bars_clearance") is True and row.get("required") is False:
        yield "bars_clearance", "only a required paper can bar"


def _kind(row: dict[str, Any]) -> DocumentKind:
    return DocumentKind(
        name=row["name"],
        applies_to=frozenset(row["applies_to"]),
        when=frozenset(row.get("when", ())),
        states=frozenset(row.get("states", ())),
        rule=parse_rule(row["period"]),
        required=row["required"],
        bars_clearance=row["bars_clearance"],
        missing_bars=row["bars_clearance"] and row.get("missing_bars", True),
        lead_days=tuple(row.get("lead_days", DEFAULT_LEAD_DAYS)),
        overdue_every_days=row.get("overdue_every_days", OVERDUE_EVERY_DAYS),
        overdue_for_days=row.get("overdue_for_days"),
        keep=row["keep"],
        source=Source(**row["source"]),
        text=MappingProxyType(dict(row["text"])),
    )


def _name_faults(name: str) -> Iterator[str]:
    if not _NAME.fullmatch(name):
        yield "must be 3 to 48 small letters, digits and underscores, a letter first"


def _members(allowed: frozenset[str], *, at_least_one: bool = False) -> Callable[[list[Any]], Iterator[str]]:
    def check(values: list[Any]) -> Iterator[str]:
        if at_least_one and not values:
            yield "must not be empty"
        yield from (f"does not know {value!r}" for value in values if value not in allowed)
        if len({str(value) for value in values}) < len(values):
            yield "names something twice"

    return check


def _lead_day_faults(days: list[Any]) -> Iterator[str]:
    if not days or not all(type(day) is int and day >= 0 for day in days):
        yield "must hold whole days, 0 or more, at least one of them"
    elif any(later >= earlier for earlier, later in pairwise(days)):
        yield "must fall from the longest to the shortest, none twice"


def _overdue_faults(days: int) -> Iterator[str]:
    if days < 1:
        yield "must be at least 1"


def _overdue_for_faults(days: int) -> Iterator[str]:
    if days < 0:
        yield "must be at least 0"


def _keep_faults(name: str) -> Iterator[str]:
    if name not in RECORD_KINDS:
        yield f"no record kind {name!r} has a keeping rule"


def _source_faults(source: dict[str, Any]) -> Iterator[str]:
    if set(source) != {"text", "basis"}:
        yield "must hold text and basis and nothing else"
    elif not isinstance(source["text"], str) or not source["text"].strip():
        yield "text must say where the rule is written"
    elif source["basis"] not in BASES:
        yield f"basis must be one of {', '.join(sorted(BASES))}"


def _text_faults(text: dict[str, Any]) -> Iterator[str]:
    if set(text) != set(LANGUAGES) or not all(isinstance(value, str) and value.strip() for value in text.values()):
        yield f"must name the paper in each of {', '.join(LANGUAGES)}"


def _no_fault(_: bool) -> Iterator[str]:
    yield from ()


_FIELDS: Mapping[str, tuple[type, bool, Callable[[Any], Iterator[str]]]] = {
    "name": (str, True, _name_faults),
    "applies_to": (list, True, _members(SUBJECTS, at_least_one=True)),
    "when": (list, False, _members(frozenset(CONDITIONS))),
    "states": (list, False, _members(STATES)),
    "period": (dict, True, rule_faults),
    "required": (bool, True, _no_fault),
    "bars_clearance": (bool, True, _no_fault),
    "missing_bars": (bool, False, _no_fault),
    "lead_days": (list, False, _lead_day_faults),
    "overdue_every_days": (int, False, _overdue_faults),
    "overdue_for_days": (int, False, _overdue_for_faults),
    "keep": (str, True, _keep_faults),
    "source": (dict, True, _source_faults),
    "text": (dict, True, _text_faults),
}
"""By field of a kind: its TOML type, whether it must be there, and what else is checked."""
