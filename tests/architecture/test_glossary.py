"""The words that docs/glossary.md replaced name nothing any more: no identifier, field, code, parameter or module."""

import ast
import re
from collections.abc import Iterable, Iterator
from typing import Any

import pytest

from config.env import CHECKOUT
from tests.support import described

APPS = ("common", "config", "defects", "fleet", "pages", "workorders")
REPLACED = {
    "asking": "clearance request",
    "askings": "clearance request",
    "audience": "recipient",
    "companion": "combination",
    "companions": "combination",
    "flip": "clearance change",
    "flips": "clearance change",
    "ladder": "reminder step, escalation",
    "notice": "notification",
    "notices": "notification",
    "owed": "pending, due",
    "owes": "pending, due",
    "pace": "throttle",
    "paper": "document",
    "papers": "document",
    "particulars": "author",
    "promise": "expected time",
    "queried": "flagged",
    "rung": "reminder step",
    "scene": "context",
    "standing": "current, active, effective, authority",
    "sweep": "periodic job",
    "sweeps": "periodic job",
    "told": "notified, recipient, or what it is of",
    "vehicle": "unit",
}
"""Words of the glossary's third column that no other meaning needs, each with what is said now.

Left out are those that a field of work uses for something else: order, digest, given, letter, merge, statement, turn.
"""
IN_CODE = {
    "Promise": "the framework's: a text that is translated when it is shown",
    "PAPER": "a signature on paper: the material",
    "set_paper": "the spreadsheet library's: the paper that is printed on",
    "UNDER_VEHICLE": "under the vehicle: the trade's term for where the work is",
}
IN_MESSAGES = {
    "paper": "a signature on paper: the material",
    "under_vehicle": "the trade's term for where the work is",
    "qualification_under_vehicle": "likewise",
    "heavy_vehicle_use_tax": "the tax's own name",
}
NO_NOUN = {
    *(
        "asked",
        "facts",
        "helpers",
        "kept",
        "misc",
        "others",
        "pace",
        "parts",
        "rows",
        "scene",
        "statement",
        "statements",
    ),
    *("texts", "things", "together", "utils", "watched", "words"),
}
"""Names of modules that say nothing of what a module is about."""
CODE = re.compile(r'^\s*f?"([a-z_]+)": (?:_\(|Wording\()', re.MULTILINE)


def replaced_in(names: Iterable[str], exceptions: Iterable[str]) -> list[str]:
    """The names, but for the exceptions, that have a replaced word in them."""
    words = {name: re.findall(r"[A-Z]?[a-z0-9]+|[A-Z]+(?![a-z])", name) for name in set(names)}
    found = {name for name, parts in words.items() if not REPLACED.keys().isdisjoint(map(str.lower, parts))}
    return sorted(found.difference(exceptions))


def identifiers(source: str) -> Iterator[str]:
    """What a module defines or passes by name: variables, parameters, attributes, functions, classes, keywords."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Name(id=name) | ast.Attribute(attr=name) | ast.arg(arg=name) | ast.keyword(arg=str(name)):
                yield name
            case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name) | ast.ClassDef(name=name):
                yield name


def shown(document: object) -> Iterator[str]:
    """Every property, parameter and word of a closed set that the API's description has."""
    if isinstance(document, dict):
        found: dict[str, Any] = document
        properties, words = found.get("properties"), found.get("enum")
        yield from properties if isinstance(properties, dict) else ()
        yield from (str(word) for word in words) if isinstance(words, list) else ()
        if "in" in found and isinstance(found.get("name"), str):
            yield found["name"]
        for part in found.values():
            yield from shown(part)
    elif isinstance(document, list):
        for part in document:
            yield from shown(part)


def sources() -> dict[str, str]:
    paths = [path for app in APPS for path in (CHECKOUT / app).rglob("*.py") if "migrations" not in path.parts]
    return {str(path.relative_to(CHECKOUT)): path.read_text(encoding="utf-8") for path in paths}


def test_identifiers_and_messages__say_no_replaced_word() -> None:
    found = {
        path: replaced_in(identifiers(source), IN_CODE) + replaced_in(CODE.findall(source), IN_MESSAGES)
        for path, source in sources().items()
    }
    assert {path: names for path, names in found.items() if names} == {}


def test_api__shows_no_replaced_word() -> None:
    assert replaced_in(shown(described.document()), IN_MESSAGES) == []


def test_modules__are_named_by_what_they_are_about() -> None:
    assert [path for path in sources() if re.sub(r".*/|\.py", "", path) in NO_NOUN] == []


def test_every_replaced_word__stands_in_the_glossary() -> None:
    glossary = (CHECKOUT / "docs/glossary.md").read_text(encoding="utf-8")
    third = " ".join(re.findall(r"^\|[^|]+\|[^|]+\|([^|]*)\|$", glossary, re.MULTILINE)).replace("flip", "flip flips")
    plural = {word.removesuffix("s") for word in REPLACED}
    assert {word for word in plural if word not in third} == set()


@pytest.mark.parametrize(
    "source",
    [
        "standing = 1",
        "class PaperBody: ...",
        "f(owed_at=1)",
        "x.queried",
        "def tell(notices): ...",
        '"no_notice": _(1)',
    ],
)
def test_replaced_word__is_found(source: str) -> None:
    in_dict = f"X = {{\n    {source}\n}}" if source.startswith('"') else source
    assert replaced_in([*identifiers(in_dict), *CODE.findall(in_dict)], IN_CODE)


def test_word_of_the_api__is_found() -> None:
    schema = {"components": {"schemas": {"X": {"properties": {"owed_at": {"enum": ["told", "sweep"]}}}}}}
    assert replaced_in(shown(schema), IN_MESSAGES) == ["owed_at", "sweep", "told"]
