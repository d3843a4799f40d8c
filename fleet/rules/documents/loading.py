"""Reads the kinds of document from their TOML text and lists every problem in it. Decides nothing about a document."""

import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pydantic import BaseModel, Field, TypeAdapter, ValidationError

from common.data_files import CLOSED, faults
from fleet.rules.documents.kinds import DocumentKind

CATALOGUE_FILE = Path(__file__).resolve().parents[2] / "catalogue" / "document_kinds.toml"


class _File(BaseModel):
    model_config = CLOSED

    kind: list[dict[str, Any]] = Field(min_length=1)


_KIND = TypeAdapter(DocumentKind)


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
    try:
        rows = _File.model_validate(tomllib.loads(text)).kind
    except (tomllib.TOMLDecodeError, ValidationError) as fault:
        problem = Problem("file", f"must hold [[kind]] tables and nothing else: {fault}")
        raise MalformedDocumentKinds((problem,)) from fault
    problems: list[Problem] = []
    kinds: dict[str, DocumentKind] = {}
    for position, row in enumerate(rows, start=1):
        label = row["name"] if isinstance(row.get("name"), str) else f"kind {position}"
        try:
            kinds[label] = _KIND.validate_python({"missing_bars": row.get("bars_clearance", False), **row})
        except ValidationError as error:
            chosen = row["period"].get("rule") if isinstance(row.get("period"), dict) else None
            problems += [Problem(f"{label}.{field}", what) for field, what in faults(error, chosen=chosen)]
    names = Counter(row["name"] for row in rows if isinstance(row.get("name"), str))
    problems += [Problem(f"{name}.name", "is used twice") for name, count in names.items() if count > 1]
    if problems:
        raise MalformedDocumentKinds(tuple(problems))
    return MappingProxyType(kinds)
