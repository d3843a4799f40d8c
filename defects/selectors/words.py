"""Naming a fault for a person: the point's title and the place, in their language, from the catalogue."""

from collections.abc import Mapping
from typing import Any

from common import messages
from common.measures import measured
from common.messages import Message
from defects.models import Defect
from defects.rules.catalogue import Catalogue
from defects.rules.places import describe
from defects.rules.points import Point
from defects.rules.vocabulary import Language

_LIMIT = {Language.ENGLISH: "limit", Language.SPANISH: "límite"}


def language_of(code: str) -> Language:
    """The catalogue's language for a person's; English where it has none."""
    base = code.split("-", 1)[0].lower()
    return Language(base) if base in set(Language) else Language.ENGLISH


def title_of(point: Point | None, name: str, language: str) -> str:
    """The title of a point, or its name where the catalogue no longer has it."""
    return name if point is None else point.text[language_of(language)].title


def what_of_defect(defect: Defect, catalogue: Catalogue, language: str) -> str:
    """One line: title, place, and the value beside its limit; the driver's own words for a fault without a point."""
    if not defect.point:
        return defect.text
    title = title_of(catalogue.get(defect.point), defect.point, language)
    return ", ".join(filter(None, (title, where_of_defect(defect, language), _value(defect, language))))


def fault_of_defect(defect: Defect, catalogue: Catalogue, language: str) -> str:
    """The same without the place."""
    if not defect.point:
        return defect.text
    title = title_of(catalogue.get(defect.point), defect.point, language)
    return ", ".join(filter(None, (title, _value(defect, language))))


def where_of_defect(defect: Defect, language: str) -> str:
    """The place in words; empty for the whole unit."""
    return describe(defect.place, language_of(language)) if defect.place else ""


def query_words(code: str, facts: Mapping[str, Any], language: str) -> str:
    """Why something must be looked at: the sentence of a stored query, with its place and its list in words."""
    said = dict(facts)
    if "place" in said:
        said["place"] = describe(str(said["place"]), language_of(language))
    if "missing" in said:
        said["missing"] = str(said["missing"]).split(", ")
    return messages.render(Message(f"query_{code}", said), language)


def _value(defect: Defect, language: str) -> str:
    if defect.value is None:
        return ""
    said = measured(defect.value, defect.unit_of_measure)
    if defect.limit_value is None:
        return said
    return f"{said} ({_LIMIT[language_of(language)]} {measured(defect.limit_value, defect.unit_of_measure)})"
