"""What one report lists: every check with how it was judged, and the faults in the driver's own words."""

from collections.abc import Mapping
from datetime import datetime
from typing import Annotated, Any, Self

from pydantic import Field

from common.api.answers import Answer
from common.api.instants import read_instant
from common.api.values import Word
from defects.enums import Outcome, Severity
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.places import describe
from defects.selectors.defects.naming import language_of


class VerdictAnswer(Answer):
    """How one check was judged."""

    outcome: Annotated[str, Word(Outcome)]
    rule: str
    severity: Annotated[str, Word(Severity)] | None
    limit_value: str | None
    source: str | None


class CheckOnReportAnswer(Answer):
    """One check: the point in plain words, where, what was answered, and how it was judged."""

    point: str
    thing: str = Field(description="what was looked at, as a fault of it begins")
    place: str
    where: str
    answer: str = Field(
        description="fine, defect, corrected, not_applicable or not_reached; else as it was sent, and flagged"
    )
    value: str
    unit_of_measure: str
    finding: str = Field(description="the condition found, in words")
    reason: str = Field(description="why it was not reached")
    corrected: str = Field(description="what was put right, and by whom")
    note: str
    photos: list[str]
    heard_from: str = Field(description="who told the driver of it, who did not look himself; else empty")
    heard_at: datetime | None
    verdict: VerdictAnswer

    @classmethod
    def of_check(cls, check: Mapping[str, Any], catalogue: Catalogue, language: str) -> Self:
        point, verdict, place = catalogue.get(check["point"]), check["verdict"], check.get("place", "")
        code = verdict.get("finding") or check.get("finding", "")
        finding = None if point is None else point.finding(code)
        reader = language_of(language)
        return cls(
            point=check["point"],
            thing=check["point"] if point is None else point.text[reader].thing,
            place=place,
            where=describe(place, reader) if place else "",
            answer=check["answer"],
            value=check.get("value", ""),
            unit_of_measure=check.get("unit_of_measure", ""),
            finding=code if finding is None else finding.text[reader],
            reason=check.get("reason", ""),
            corrected=": ".join(filter(None, (check.get("corrected_by", ""), check.get("corrected_what", "")))),
            note=check.get("note", ""),
            photos=[*check.get("photos", ()), *filter(None, (check.get("corrected_photo"),))],
            heard_from=check.get("heard_from", ""),
            heard_at=read_instant(check.get("heard_at")),
            verdict=VerdictAnswer(
                outcome=verdict["outcome"],
                rule=verdict["rule"],
                severity=verdict.get("severity"),
                limit_value=verdict.get("limit_value"),
                source=verdict.get("source"),
            ),
        )


class FaultOnReportAnswer(Answer):
    """A fault in the driver's own words."""

    text: str
    place: str
    photos: list[str]
    heard_from: str
    heard_at: datetime | None

    @classmethod
    def of_fault(cls, fault: Mapping[str, Any]) -> Self:
        return cls(
            text=fault["text"],
            place=fault.get("place", ""),
            photos=fault.get("photos", []),
            heard_from=fault.get("heard_from", ""),
            heard_at=read_instant(fault.get("heard_at")),
        )
