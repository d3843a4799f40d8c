"""The catalogue: every point by name, in walking order, with the hash that names it. Judges nothing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files

from common.canonical import Plain, canonical_json, sha256_hex
from defects.enums import Leg
from defects.rules.catalogue.files import FORMAT, MalformedCatalogueError, points_of_document, points_of_files
from defects.rules.catalogue.points import Point
from defects.rules.catalogue.stored import point_document
from fleet.enums import UnitKind

__all__ = ["Catalogue", "MalformedCatalogueError", "load_catalogue", "parse_catalogue", "read_package_documents"]

_LEG_ORDER = {leg: number for number, leg in enumerate(Leg)}


@dataclass(frozen=True)
class Catalogue:
    """All points by name. Two catalogues with the same content hash are the same, word for word."""

    points: Mapping[str, Point]

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
        return tuple(point for point in self.points.values() if kind in point.unit_kinds)

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
