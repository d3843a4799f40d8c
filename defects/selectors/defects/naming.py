"""What a person reads of a defect, a check and a query, in their language, from the catalogue."""

from collections.abc import Iterable, Mapping
from typing import Any

from common import messages
from common.messages import of_stored
from defects.models import Defect, Hold
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.closed_sets import Language
from defects.rules.catalogue.places import NamedFault, describe, name_of_fault
from defects.selectors.catalogue.catalogue import catalogue_naming


def language_of(code: str) -> Language:
    """The catalogue's language for a person's; English where it has none."""
    base = code.split("-", 1)[0].lower()
    return Language(base) if base in set(Language) else Language.ENGLISH


def put_right_of(name: str, catalogue: Catalogue, language: str) -> str:
    """What the driver does to end a fault of a point that is the driver's to end; empty for any other."""
    point = catalogue.get(name)
    return "" if point is None else point.text[language_of(language)].put_right


def what_of_defect(defect: Defect, catalogue: Catalogue, language: str) -> str:
    """The name of a defect: thing, place and what is wrong; the driver's own words for a fault without a point."""
    fault = NamedFault(
        point=defect.point,
        place=defect.place,
        text=defect.text,
        finding=defect.finding,
        value=defect.value,
        unit_of_measure=defect.unit_of_measure,
        limit_value=defect.limit_value,
    )
    return what_of_fault(fault, catalogue, language)


def names_of_defect(defect: Defect) -> dict[str, str]:
    """The name of a defect in every language, for what is kept or given away as it was said."""
    catalogue = catalogue_naming(defect)
    return {str(language): what_of_defect(defect, catalogue, language) for language in Language}


def numbers(defects: Iterable[Defect]) -> list[int]:
    """The numbers that people call defects by, in order."""
    return sorted(defect.number for defect in defects)


def faults_named(defects: Iterable[Defect]) -> dict[str, str]:
    """Each defect's number and name, in every language: what a sentence about defects shows a person."""
    named = [(defect.number, names_of_defect(defect)) for defect in sorted(defects, key=lambda defect: defect.number)]
    return {
        str(language): "; ".join(f"{number} {names[str(language)]}" for number, names in named) for language in Language
    }


def what_of_hold(hold: Hold, catalogue: Catalogue, language: str) -> str:
    """What a hold is for: the name of the defect under it, or the words of whoever placed one without."""
    return hold.reason if hold.defect is None else what_of_defect(hold.defect, catalogue, language)


def names_of_hold(hold: Hold) -> dict[str, str]:
    """The same in every language."""
    if hold.defect is None:
        return dict.fromkeys(map(str, Language), hold.reason)
    return names_of_defect(hold.defect)


def what_of_fault(fault: NamedFault, catalogue: Catalogue, language: str) -> str:
    """The same of what is known of a fault without its row."""
    return name_of_fault(fault, catalogue.get(fault.point), language_of(language))


def flag_sentence(code: str, facts: Mapping[str, Any], language: str) -> str:
    """Why something must be looked at: the sentence of a stored query, with its place and its list in words."""
    said = dict(facts)
    if "place" in said:
        said["place"] = describe(str(said["place"]), language_of(language))
    if "missing" in said:
        said["missing"] = str(said["missing"]).split(", ")
    return messages.render(of_stored("flag", code, said), language)
