"""Defects as they are shown, in a person's language."""

from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field

from common.api.answers import Answer
from common.api.values import Word
from defects.api.tires.wear import TireAnswer
from defects.enums import (
    Authority,
    Bars,
    CertificateKind,
    DefectState,
    Evidence,
    HoldKind,
    Listing,
    Severity,
    SightingHow,
    bars_until_certified,
)
from defects.models import Certificate, Defect, EntryInError, Sighting
from defects.rules.catalogue.catalogue import Catalogue, decimal_text
from defects.selectors.defects.defects import DefectPage, evidence_of
from defects.selectors.defects.naming import language_of, what_of_defect
from defects.transitions import DEFECTS
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort
from fleet.models import Person

FLAGS = ("driver_as_agent", "on_the_spot", "by_link")
SHOWN_HOW = ("measurement", "photo", "repeated_test", "look")

DecimalWord = Annotated[str, Field(description="a decimal number, without zeros at its end")]


class CertificateShort(Answer):
    """A certificate in short."""

    id: UUID
    kind: Annotated[str, Word(CertificateKind)]
    statement: str
    certified_at: datetime
    limit_on: date | None


class DefectAnswer(Answer):
    """One defect as a list shows it. `limit` and `value` are in `unit_of_measure`."""

    id: UUID
    number: int
    unit: UnitShort
    what: str = Field(description="the fault in one line, in your language")
    point: str
    place: str
    state: Annotated[str, Word(DefectState)]
    severity: Annotated[str, Word(Severity)]
    bars: Annotated[str, Word(Bars)] = Field(
        description="what it keeps the unit from until it is certified: what its grade bars, or movement where "
        "`listing` says that it is on the certified list (49 CFR 396.11(a)(3))"
    )
    authority: Annotated[str, Word(Authority)]
    listing: Annotated[str, Word(Listing)] = Field(
        description="why it needs its certificate before the unit is driven again, or `noted`"
    )
    graded: bool
    value: DecimalWord | None
    limit: DecimalWord | None
    unit_of_measure: str
    rule: str
    source: str
    found_by: PersonShort
    found_at: datetime
    heard_from: str = Field(description="who told the driver of it, who did not find it himself; else empty")
    heard_at: datetime | None
    order: int | None = Field(description="the repair order, by number")
    expected_at: datetime | None
    certificate: CertificateShort | None = Field(description="the one in force")
    comeback_of: int | None = Field(description="the defect whose repair did not hold, by number")
    comebacks: list[int] = Field(description="the defects as which it came back, by number")
    version: int

    @classmethod
    def of_defect(cls, defect: Defect, catalogue: Catalogue, language: str, /, **more: object) -> Self:
        return cls.of(
            defect,
            what=what_of_defect(defect, catalogue, language),
            bars=bars_until_certified(defect.bars, defect.listing),
            value=decimal_or_none(defect.value),
            limit=decimal_or_none(defect.limit_value),
            order=defect.order_number,
            certificate=defect.current_certificate,
            comeback_of=None if defect.comeback_of is None else defect.comeback_of.number,
            comebacks=[again.number for again in defect.comebacks.all()],
            **more,
        )


class SightingAnswer(Answer):
    """One finding of the fault."""

    how: Annotated[str, Word(SightingHow)]
    person: PersonShort
    seen_at: datetime
    report: UUID | None
    severity: Annotated[str, Word(Severity)]
    value: DecimalWord | None
    unit_of_measure: str
    note: str
    heard_from: str
    heard_at: datetime | None

    @classmethod
    def of_sighting(cls, sighting: Sighting) -> Self:
        """Return a sighting with the key of its report."""
        return cls.of(sighting, report=sighting.report_id, value=decimal_or_none(sighting.value))


class CertificateAnswer(Answer):
    """One certificate. `flags` tell a reader: by a driver as the carrier's agent, on the spot, by a link.

    Somebody of another firm signs by a link that one of `worked_by` made, who so has a part in it.
    """

    id: UUID
    kind: Annotated[str, Word(CertificateKind)]
    statement: str
    signed_by: PersonShort
    firm: str = Field(description="that signed by a link; empty for the carrier's own people")
    brake_evidence: str = Field(description="who at the firm keeps that of the signer's qualification")
    worked_by: list[PersonShort]
    certified_at: datetime
    limit_on: date | None
    limit_mi: DecimalWord | None
    limit_engine_h: DecimalWord | None
    after_value: DecimalWord | None
    photo_sha256: str
    agent_reason: str
    flags: list[Annotated[str, Word(FLAGS)]]
    in_force: bool
    superseded: bool

    @classmethod
    def of_certificate(cls, certificate: Certificate, defect: Defect) -> Self:
        """Return a certificate with its signer and the people who did the work."""
        flags = zip(
            FLAGS,
            (certificate.agent_reason != "", certificate.corrected_on_the_spot, certificate.link_id is not None),
            strict=True,
        )
        return cls.of(
            certificate,
            signed_by=certificate.signature.signer,
            worked_by=sorted(certificate.worked_by.all(), key=lambda who: who.name),
            limit_mi=decimal_or_none(certificate.limit_mi),
            limit_engine_h=decimal_or_none(certificate.limit_engine_h),
            after_value=None if certificate.measurement is None else decimal_text(certificate.measurement.value),
            flags=[flag for flag, raised in flags if raised],
            in_force=certificate.pk == defect.current_certificate_id,
            superseded=hasattr(certificate, "superseded_by"),
        )


class HoldShort(Answer):
    """A hold in short."""

    number: int
    kind: Annotated[str, Word(HoldKind)]
    placed_at: datetime
    lifted_at: datetime | None


class PhotoAnswer(Answer):
    """A photo that a signed report names; it may still be on its way from the phone."""

    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    url: str


class RepeatedTestAnswer(Answer):
    """A test that somebody repeated."""

    person: PersonShort
    passed: bool
    note: str
    tested_at: datetime


class EntryInErrorAnswer(Answer):
    """Who signed that it never was a defect, and who showed it by what."""

    entered_by: PersonShort
    reason: str
    shown_by: PersonShort
    by: Annotated[str, Word(SHOWN_HOW)]
    entered_at: datetime

    @classmethod
    def of_entry(cls, entry: EntryInError) -> Self:
        return cls.of(entry, entered_by=entry.signature.signer, by=entry.shown_how)


class DefectPageAnswer(DefectAnswer):
    """One defect with everything that hangs on it and what you may do now."""

    regulation_severity: str = Field(description="what no regrade may go below; empty without a rule")
    catalogue: str
    roadside_inspection: UUID | None
    text: str = Field(description="the finder's own words")
    caution: str
    put_right: str = Field(description="what the driver does to end it; empty where the shop must")
    evidence: Annotated[str, Word(Evidence)] = Field(description="what a certificate needs")
    sightings: list[SightingAnswer]
    certificates: list[CertificateAnswer]
    holds: list[HoldShort]
    photos: list[PhotoAnswer]
    repeated_tests: list[RepeatedTestAnswer]
    entry_in_error: EntryInErrorAnswer | None
    tire: TireAnswer | None = Field(description="how the tire wears, where a tread was measured")
    allowed_actions: list[str]

    @classmethod
    def of_page(cls, page: DefectPage, catalogue: Catalogue, person: Person, tire: TireAnswer | None) -> Self:
        defect = page.defect
        point = catalogue.get(defect.point)
        text = None if point is None else point.text[language_of(person.language)]
        return cls.of_defect(
            defect,
            catalogue,
            person.language,
            catalogue=defect.catalogue_id or "",
            roadside_inspection=defect.roadside_id,
            caution="" if text is None else text.caution,
            put_right="" if text is None else text.put_right,
            evidence=evidence_of(defect, catalogue),
            sightings=[SightingAnswer.of_sighting(sighting) for sighting in page.sightings],
            certificates=[CertificateAnswer.of_certificate(item, defect) for item in page.certificates],
            holds=list(page.holds),
            photos=[*_photos(page)],
            repeated_tests=list(page.tests),
            entry_in_error=None if page.entry is None else EntryInErrorAnswer.of_entry(page.entry),
            tire=tire,
            allowed_actions=allowed_actions(defect, person),
        )


def allowed_actions(defect: Defect, person: Person) -> list[str]:
    """What the person may do with the defect now; a fault without a grade must be graded first."""
    actions = DEFECTS.allowed_actions(defect.state, person.current_roles)
    hidden = {"grade"} if defect.graded else {"regrade", "certify_repaired", "certify_unnecessary"}
    return [action for action in actions if action not in hidden]


def decimal_or_none(value: Decimal | None) -> str | None:
    """A decimal without zeros at its end, or None."""
    return None if value is None else decimal_text(value)


def _photos(page: DefectPage) -> Iterable[PhotoAnswer]:
    named = [(f"walkarounds/{walkaround}", sha256) for walkaround, sha256 in page.photos_of_reports]
    named += [(f"defects/{page.defect.number}", sha256) for sha256 in page.photos]
    return (PhotoAnswer(sha256=sha256, url=f"/api/v1/{place}/photos/{sha256}") for place, sha256 in named)
