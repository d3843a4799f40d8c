"""What a defect is called: the thing, where, and what is wrong with it, never the title of the check. Pure."""

from dataclasses import dataclass
from decimal import Decimal

from common.measures import measured
from defects.rules.catalogue.closed_sets import Language
from defects.rules.catalogue.places import describe
from defects.rules.catalogue.points import Point

_LIMIT = {Language.ENGLISH: "limit", Language.SPANISH: "límite"}


@dataclass(frozen=True, slots=True)
class NamedFault:
    """What a name is made of. `text` is the finder's own words, which name a fault that has no point or no finding.

    `limit_value` is the figure that `value` fails, both in `unit_of_measure`; None where a finding was reported.
    """

    point: str
    place: str = ""
    text: str = ""
    finding: str = ""
    value: Decimal | None = None
    unit_of_measure: str = ""
    limit_value: Decimal | None = None


def name_of_fault(fault: NamedFault, point: Point | None, language: Language) -> str:
    """One line: "Parking brake: the vehicle moves", "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in".

    `point` is the catalogue's of that name; None for a fault in the finder's own words, and for a point that the
    catalogue no longer has, which goes by its name.
    """
    if not fault.point:
        return fault.text
    thing = fault.point if point is None else point.text[language].thing
    where = describe(fault.place, language) if fault.place else ""
    wrong = _wrong(fault, point, language)
    return ": ".join(filter(None, (", ".join(filter(None, (thing, where))), wrong)))


def _wrong(fault: NamedFault, point: Point | None, language: Language) -> str:
    """The second half: the finding, with the value taken along with it, or the value beside the limit it fails."""
    finding = None if point is None else point.finding(fault.finding)
    said = fault.finding if finding is None else finding.text[language]
    if fault.value is None:
        return said or fault.text
    figure = "" if point is None else point.text[language].figure
    value = " ".join(filter(None, (figure, measured(fault.value, fault.unit_of_measure))))
    if said or fault.limit_value is None:
        return ", ".join(filter(None, (said, value)))
    return f"{value}, {_LIMIT[language]} {measured(fault.limit_value, fault.unit_of_measure)}"
