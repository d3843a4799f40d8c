"""The point catalogue: read from its files, every problem of them told, known by its hash."""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from decimal import Decimal
from functools import cache, cached_property
from importlib.resources import files
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field, ValidationError

from common.canonical import Plain, canonical_json, plain, sha256_hex
from common.data_files import CLOSED, Text, faults
from defects.enums import Leg
from defects.rules.catalogue.closed_sets import Language
from defects.rules.catalogue.points import (
    POINT,
    Finding,
    InEveryLanguage,
    Limit,
    Measure,
    Point,
    PointText,
    Raise,
    Source,
    Threshold,
)
from defects.rules.catalogue.soundness import point_problems
from fleet.enums import UnitKind

FORMAT = 2
"""The version of the stored form. Raise it only together with a reader for the older one."""
UNNAMED_THINGS = 1
"""The form before points named the thing they look at: the title has to do."""

_Content = dict[str, Any]


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


class MalformedCatalogueError(Exception):
    """A catalogue that must not be used; `problems` lists everything found, in the order of the files."""

    problems: tuple[Problem, ...]

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class _File(BaseModel):
    """`defaults` fill what a point of the file leaves out; `hazards` are the cautions that points of any file name."""

    model_config = CLOSED

    defaults: _Content = Field(default_factory=dict)
    hazards: dict[str, Annotated[dict[Language, Text], InEveryLanguage]] = Field(default_factory=dict)
    point: list[_Content] = Field(default_factory=list)


class _Stored(BaseModel):
    model_config = CLOSED

    format: Literal[1, 2]
    points: list[_Content]


class _Reading:
    """What was read so far, and what was wrong with it."""

    def __init__(self) -> None:
        self.points: list[tuple[str, Point]] = []
        self.problems: list[Problem] = []

    def add(self, content: _Content, file: str = "") -> None:
        name = content.get("name")
        label = name if isinstance(name, str) else "(no name)"
        try:
            self.points.append((file, POINT.validate_python(content)))
        except ValidationError as error:
            self.note(error, file, label)

    def note(self, error: ValidationError, file: str = "", point: str = "") -> None:
        """Add everything that is wrong."""
        self.problems.extend(Problem(file, point, field, message) for field, message in faults(error))

    def sound(self) -> list[Point]:
        """The points if nothing at all is wrong with them. Contradictions are looked for only in what could be read."""
        first_file: dict[str, str] = {}
        for file, point in self.points:
            if point.name in first_file:
                message = f"is used already in {first_file[point.name] or 'here'}"
                self.problems.append(Problem(file, point.name, "name", message))
            first_file.setdefault(point.name, file)
            self.problems.extend(Problem(file, point.name, field, message) for field, message in point_problems(point))
        if not self.points and not self.problems:
            self.problems.append(Problem("", "", "point", "there is no point at all"))
        if self.problems:
            raise MalformedCatalogueError(self.problems)
        return [point for _, point in self.points]


def points_of_files(documents: Mapping[str, str | bytes]) -> list[Point]:
    """The points of TOML files by name; MalformedCatalogueError with every problem of every file."""
    reading = _Reading()
    files: dict[str, _File] = {}
    for name, document in sorted(documents.items()):
        try:
            text = document.decode() if isinstance(document, bytes) else document
            files[name] = _File.model_validate(tomllib.loads(text, parse_float=Decimal))
        except ValidationError as error:
            reading.note(error, name)
        except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
            reading.problems.append(Problem(name, "", "", f"cannot be read: {error}"))
    hazards = {hazard: texts for file in files.values() for hazard, texts in file.hazards.items()}
    for name, file in files.items():
        for own in file.point:
            content = {**file.defaults, **own}
            named = content.pop("hazards", [])
            if not isinstance(named, list) or not all(hazard in hazards for hazard in named):
                message = f"is not a list of {', '.join(sorted(hazards))}"
                reading.problems.append(Problem(name, str(content.get("name")), "hazards", message))
            elif named:
                content["text"] = _with_cautions(content.get("text"), [hazards[hazard] for hazard in named])
            reading.add(content, name)
    return reading.sound()


def points_of_document(document: Mapping[str, object]) -> list[Point]:
    """The points of a stored document, as `Catalogue.to_document` wrote it; errors as of files."""
    reading = _Reading()
    try:
        stored = _Stored.model_validate(document)
    except ValidationError as error:
        reading.note(error)
        raise MalformedCatalogueError(reading.problems) from error
    for content in stored.points:
        reading.add(_with_things(content) if stored.format == UNNAMED_THINGS else content)
    return reading.sound()


def _with_cautions(text: object, hazards: list[dict[Language, str]]) -> object:
    """The texts with the cautions of the hazards put before the point's own."""
    if not isinstance(text, dict):
        return text
    filled = {}
    for language, words in text.items():
        cautions = [hazard[language] for hazard in hazards if language in hazard]
        own = words.get("caution") if isinstance(words, dict) else None
        filled[language] = (
            {**words, "caution": " ".join([*cautions, *([own] if isinstance(own, str) else [])])}
            if isinstance(words, dict)
            else words
        )
    return filled


def _with_things(content: _Content) -> _Content:
    text = content.get("text")
    if not isinstance(text, dict):
        return content
    return {**content, "text": {language: {"thing": words.get("title"), **words} for language, words in text.items()}}


_Part = Point | Limit | Finding | Measure | PointText | Raise | Source | Threshold

_RENAMED = {"limits": "limit", "findings": "finding"}
"""Lists of tables are named in the singular, as the catalogue files write them."""


def point_document(point: Point) -> dict[str, Plain]:
    """The point as plain values; `points.POINT` reads the same point back."""
    return _part(point)


def decimal_text(value: Decimal) -> str:
    """One spelling per value: no exponent, no trailing zeros."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _part(part: _Part) -> dict[str, Plain]:
    document: dict[str, Plain] = {}
    for field in fields(part):
        value = getattr(part, field.name)
        if value is None or value is False or (isinstance(value, str | tuple | Mapping) and not value):
            continue
        document[_RENAMED.get(field.name, field.name)] = _plain(value)
    return document


def _plain(value: object) -> Plain:
    if isinstance(value, _Part):
        return _part(value)
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Decimal):
        return decimal_text(value)
    return plain(value)


__all__ = ["Catalogue", "MalformedCatalogueError", "load_catalogue", "parse_catalogue", "read_package_documents"]

_LEG_ORDER = {leg: number for number, leg in enumerate(Leg)}


@dataclass(frozen=True)
class Catalogue:
    """All points by name. Two catalogues with the same content hash are the same, word for word."""

    points: Mapping[str, Point]

    def __hash__(self) -> int:
        return hash(self.content_hash)

    @classmethod
    def of(cls, points: Iterable[Point]) -> "Catalogue":
        """A catalogue of sound points, put in the order of the walk."""
        ordered = sorted(points, key=lambda point: (_LEG_ORDER[point.leg], point.order, point.name))
        return cls({point.name: point for point in ordered})

    @classmethod
    def from_document(cls, document: Mapping[str, object]) -> "Catalogue":
        """The catalogue of a stored document, as old as it may be; MalformedCatalogueError with every problem."""
        return cls.of(points_of_document(document))

    def get(self, name: str) -> Point | None:
        """The point of that name, retired or not, or None."""
        return self.points.get(name)

    def for_unit_kind(self, kind: UnitKind | str) -> tuple[Point, ...]:
        """The points of a kind of unit, retired ones included, in the order of the walk."""
        return self._of_kinds[UnitKind(kind)]

    @cached_property
    def _of_kinds(self) -> Mapping[UnitKind, tuple[Point, ...]]:
        points = self.points.values()
        return {kind: tuple(point for point in points if kind in point.unit_kinds) for kind in UnitKind}

    def to_document(self) -> dict[str, Plain]:
        """The whole catalogue as plain JSON values, to be stored under its hash."""
        points: list[Plain] = [point_document(self.points[name]) for name in sorted(self.points)]
        return {"format": FORMAT, "points": points}

    @cached_property
    def text(self) -> str:
        """The whole catalogue as canonical JSON, which is what is stored."""
        return canonical_json(self.to_document()).decode()

    @cached_property
    def content_hash(self) -> str:
        """The SHA-256 of the canonical JSON, 64 hexadecimal digits."""
        return sha256_hex(self.text)


def parse_catalogue(documents: Mapping[str, str | bytes]) -> Catalogue:
    """The catalogue of TOML files, by file name; MalformedCatalogueError lists every problem by file and point."""
    return Catalogue.of(points_of_files(documents))


def read_package_documents() -> dict[str, bytes]:
    """The catalogue files that come with the code, by file name."""
    folder = files("defects") / "catalogue"
    return {entry.name: entry.read_bytes() for entry in folder.iterdir() if entry.name.endswith(".toml")}


@cache
def load_catalogue() -> Catalogue:
    """The catalogue that comes with the code, read once for the life of the process."""
    return parse_catalogue(read_package_documents())
