"""Naming a fault for a person: the point's title and the place, in their language, from the catalogue."""

from decimal import Decimal

from defects.models import Defect
from defects.rules.catalogue import Catalogue
from defects.rules.places import describe
from defects.rules.points import Point
from defects.rules.vocabulary import Language


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
    return ", ".join(filter(None, (title, where_of_defect(defect, language), _value(defect))))


def fault_of_defect(defect: Defect, catalogue: Catalogue, language: str) -> str:
    """The same without the place."""
    if not defect.point:
        return defect.text
    title = title_of(catalogue.get(defect.point), defect.point, language)
    return ", ".join(filter(None, (title, _value(defect))))


def where_of_defect(defect: Defect, language: str) -> str:
    """The place in words; empty for the whole unit."""
    return describe(defect.place, language_of(language)) if defect.place else ""


def _value(defect: Defect) -> str:
    if defect.value is None:
        return ""
    limit = "" if defect.limit_value is None else f" ({number(defect.limit_value)})"
    return f"{number(defect.value)}{limit} {defect.unit_of_measure}".rstrip()


def number(value: Decimal) -> str:
    """A decimal without the zeros that storing it added."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text
