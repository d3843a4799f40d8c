"""From catalogue files, or a stored document, to sound points: defaults and hazards filled in, every problem listed."""

import tomllib
from collections.abc import Iterable, Mapping
from decimal import Decimal

from defects.rules.catalogue.points import Point
from defects.rules.catalogue.reading import read_point
from defects.rules.catalogue.soundness import point_problems
from defects.rules.catalogue.tables import Problem, Table
from defects.rules.vocabulary import Language

FORMAT = 2
"""The version of the stored form. Raise it only together with a reader for the older one."""
UNNAMED_THINGS = 1
"""The form before points named the thing they look at: the title has to do."""

_Content = dict[str, object]


class MalformedCatalogueError(Exception):
    """A catalogue that must not be used; `problems` lists everything found, in the order of the files."""

    problems: tuple[Problem, ...]

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def points_of_files(documents: Mapping[str, str | bytes]) -> list[Point]:
    """The points of TOML files by name.

    `[defaults]` fill what a point of the same file leaves out; `[hazards.…]`, of any file, are the standard cautions
    that points name.
    """
    problems: list[Problem] = []
    contents = {name: _toml(name, documents[name], problems) for name in sorted(documents)}
    hazards = _hazards(contents, problems)
    found: list[tuple[str, Point]] = []
    for name, content in contents.items():
        defaults = content.get("defaults", {})
        unknown = sorted(set(content) - {"defaults", "hazards", "point"})
        problems.extend(Problem(name, "", key, "is not known here") for key in unknown)
        file = Table(content, problems, name)
        for table in file.tables("point"):
            filled = _filled(table, defaults if isinstance(defaults, dict) else {}, hazards)
            found.append((name, read_point(filled)))
    return _sound(found, problems)


def points_of_document(document: Mapping[str, object]) -> list[Point]:
    """The points of a stored document, as `Catalogue.to_document` wrote it."""
    problems: list[Problem] = []
    whole = Table(document, problems)
    form = whole.whole("format")
    if form not in (UNNAMED_THINGS, FORMAT):
        whole.problem("format", f"is not {FORMAT}")
    found = []
    for table in whole.tables("points"):
        table.point, table.path = _name(table.content), ""
        if form == UNNAMED_THINGS:
            table.content = _with_things(table.content)
        found.append(("", read_point(table)))
    whole.finish()
    return _sound(found, problems)


def _sound(found: list[tuple[str, Point]], problems: list[Problem]) -> list[Point]:
    """The points if nothing at all is wrong with them. Contradictions are looked for only in what could be read."""
    first_file: dict[str, str] = {}
    for file, point in found:
        if point.name in first_file:
            problems.append(Problem(file, point.name, "name", f"is used already in {first_file[point.name] or 'here'}"))
        first_file.setdefault(point.name, file)
    if not found and not problems:
        problems.append(Problem("", "", "point", "there is no point at all"))
    unreadable = {problem.point for problem in problems}
    for file, point in found:
        if point.name not in unreadable:
            problems.extend(Problem(file, point.name, field, message) for field, message in point_problems(point))
    if problems:
        raise MalformedCatalogueError(problems)
    return [point for _, point in found]


def _toml(name: str, document: str | bytes, problems: list[Problem]) -> _Content:
    try:
        text = document.decode() if isinstance(document, bytes) else document
        return tomllib.loads(text, parse_float=Decimal)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        problems.append(Problem(name, "", "", f"cannot be read: {error}"))
        return {}


def _hazards(contents: Mapping[str, _Content], problems: list[Problem]) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for name, content in contents.items():
        table = Table(content, problems, name).table("hazards")
        for hazard in () if table is None else table.content:
            words = table.table(hazard) if table is not None else None
            if words is None:
                continue
            found[hazard] = {language: words.text(language) for language in Language}
            words.finish()
    return found


def _filled(table: Table, defaults: Mapping[str, object], hazards: Mapping[str, Mapping[str, str]]) -> Table:
    """The point with the file's defaults, and with the cautions of its hazards put before its own."""
    content = {**defaults, **table.content}
    named = content.pop("hazards", [])
    filled = Table(content, table.problems, table.file, _name(content))
    if not isinstance(named, list) or not all(hazard in hazards for hazard in named):
        filled.problem("hazards", f"is not a list of {', '.join(sorted(hazards))}")
        return filled
    text = content.get("text")
    if named and isinstance(text, dict):
        content["text"] = {
            language: _with_caution(words, [hazards[hazard].get(language, "") for hazard in named])
            for language, words in text.items()
        }
    return filled


def _with_caution(words: object, cautions: list[str]) -> object:
    if not isinstance(words, dict):
        return words
    own = words.get("caution")
    return {**words, "caution": " ".join([*cautions, *([own] if isinstance(own, str) else [])])}


def _with_things(content: Mapping[str, object]) -> _Content:
    text = content.get("text")
    if not isinstance(text, dict):
        return dict(content)
    named = {language: {"thing": words.get("title"), **words} for language, words in text.items()}
    return {**content, "text": named}


def _name(content: Mapping[str, object]) -> str:
    name = content.get("name")
    return name if isinstance(name, str) else "(no name)"
