"""The driver's answer: what was found, held, ordered and flagged on each unit, who is told, and where to ask on."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Annotated, Any
from urllib.parse import urlencode
from uuid import UUID

from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.values import Word
from common.measures import number
from common.messages import Message
from defects.api.walkarounds.headings import BarAnswer, HeadedAnswer, bars_of, stops_unit, under_headings
from defects.enums import Bars, CertificateKind, Listing, Outcome, Severity, SightingHow, bars_until_certified
from defects.models import Report, Sighting
from defects.rules.catalogue.places import NamedFault
from defects.selectors.defects.naming import flag_sentence, language_of, put_right_of, what_of_defect, what_of_fault
from defects.selectors.walkarounds.receipts import Receipt
from fleet.enums import UnitKind


class FoundAnswer(Answer):
    """One finding: the defect it opened, raised or was seen again as."""

    defect: int
    id: UUID
    how: Annotated[str, Word(SightingHow)]
    what: str
    point: str
    place: str
    severity: Annotated[str, Word(Severity)]
    bars: Annotated[str, Word(Bars)] = Field(description="what it keeps the unit from until it is certified")
    listing: Annotated[str, Word(Listing)] = Field(
        description="why it needs its certificate before the unit is driven again, or `noted`"
    )
    value: str | None
    limit: str | None
    unit_of_measure: str
    source: str
    heard_from: str = Field(description="who told the driver of it, who did not find it himself; else empty")
    heard_at: datetime | None
    caution: str
    put_right: str = Field(description="what the driver does to end it; empty where the shop must")
    comeback: bool = Field(description="the same fault was repaired before")
    hold: int | None
    order: int | None = Field(description="the repair order, by number")


class CorrectedAnswer(Answer):
    """What was put right on the spot: an open defect, certified, or a fault that nobody had reported."""

    defect: int | None
    what: str = Field(description="what was put right, in your language")
    certificate: Annotated[str, Word(CertificateKind)] | None
    statement: str = Field(description="that of the certificate, or what was done")


class FlagAnswer(Answer):
    """Something kept as signed that the foreman will look at; it counts for nothing until then."""

    code: str
    detail: str
    check: int | None = Field(description="position in the report's checks")
    meter: int | None = Field(description="position in the report's meters")

    @classmethod
    def worded(cls, item: Mapping[str, Any], language: str) -> "FlagAnswer":
        code = item["code"]
        detail = flag_sentence(code, item["facts"], language)
        return cls(code=code, detail=detail, check=item.get("check"), meter=item.get("meter"))


class LookedAtAnswer(Answer):
    """One leg signed for as looked at. One that does not count is flagged."""

    leg: str
    at: str
    counts: bool


class WithoutAnswerAnswer(Answer):
    """A place that the walk asks every time and that has no answer: no leg covers it and no check answers it."""

    point: str
    place: str
    why: str = Field(description="no_answer, flagged, or the reason given for not reaching it")


class LooksAnswer(Answer):
    """How much of what the walk asks every time has an answer: each place of each point counts once."""

    required: int
    answered: int = Field(description="by a leg or one by one")
    by_leg: int = Field(description="how many of those answered are covered by a leg alone")
    legs: list[LookedAtAnswer]
    without_answer: list[WithoutAnswerAnswer]

    @classmethod
    def of_report(cls, report: Report) -> "LooksAnswer":
        return cls(
            required=report.places_required,
            answered=report.places_answered,
            by_leg=report.places_covered,
            legs=[LookedAtAnswer(**leg) for leg in report.looked_at],
            without_answer=[
                WithoutAnswerAnswer(point=row["point"], place=row["place"], why=row["why"])
                for row in report.without_answer
            ],
        )


class WalkedUnitAnswer(Answer):
    """What became of one unit's report. Each fault of `found` that stands open is under one of three headings."""

    unit: str
    report: UUID
    known: bool
    looks: LooksAnswer
    barred_by: list[BarAnswer]
    found: list[FoundAnswer]
    to_certify: HeadedAnswer = Field(
        description="need their certificate before the unit is driven again (396.11(a)(3))"
    )
    to_put_right: HeadedAnswer = Field(description="the driver's to end; see `put_right`")
    noted: HeadedAnswer = Field(description="noted for the shop alone, beside the certified list (396.11(a)(2)(i))")
    corrected: list[CorrectedAnswer]
    flags: list[FlagAnswer]


class RecipientAnswer(Answer):
    """Who is told of a hold, a load at risk or a fault to grade, or should be and cannot be reached."""

    name: str


class ReceiptAnswer(Answer):
    """The whole answer. `clearance` is where to ask, now, whether these units may roll."""

    id: UUID
    replayed: bool
    received_at: datetime
    performed_at: datetime
    says: str
    units: list[WalkedUnitAnswer]
    flags: list[FlagAnswer]
    recipients: list[RecipientAnswer]
    not_reached: list[RecipientAnswer] = Field(
        description="who should be told and whom no message can reach: call them"
    )
    loads_at_risk: list[UUID] = Field(description="records to write readings into")
    clearance: str


def receipt_answer(receipt: Receipt, language: str) -> ReceiptAnswer:
    """The receipt in a person's language."""
    walkaround = receipt.walkaround
    recipients, not_reached = receipt.people
    known = [str(report.unit) for report in receipt.reports if report.unit is not None]
    return ReceiptAnswer(
        id=walkaround.pk,
        replayed=receipt.replayed,
        received_at=walkaround.received_at,
        performed_at=walkaround.performed_at,
        says=_says(receipt, language),
        units=[_unit(receipt, report, language) for report in receipt.reports],
        flags=[FlagAnswer.worded(item, language) for item in walkaround.flags],
        recipients=[RecipientAnswer(name=name) for name in recipients],
        not_reached=[RecipientAnswer(name=name) for name in not_reached],
        loads_at_risk=receipt.loads_at_risk,
        clearance=f"/api/v1/yard?{urlencode([('unit', unit) for unit in known])}" if known else "/api/v1/yard",
    )


SAY_WHO_IS_NOTIFIED = frozenset({"receipt_held", "receipt_load_at_risk", "receipt_also_load_at_risk"})
"""Sentences that say that somebody is told; each has one that does not."""


NO_UNIT = "?"
"""What a report is on that says no unit; no unit is called so."""

BARRED = ("receipt_barred", "receipt_barred_cooling")


def _says(receipt: Receipt, language: str) -> str:
    """The gravest thing first, and after it what must not be missed beside it; silence is never nothing found."""
    seen = {sighting.defect_id for sighting in receipt.sightings}
    before = [hold for hold in receipt.holds if hold.defect_id not in seen]
    held = {hold.unit_id for hold in receipt.holds if hold.defect_id in seen}
    barred = {sighting.defect.unit_id for sighting in receipt.sightings if stops_unit(sighting.defect)}
    unknown = receipt.unknown_units
    stopped = [report.unit for report in receipt.reports if report.unit and report.unit_id in barred - held]
    named = {
        "receipt_unknown_unit": [unit for unit in unknown if unit != NO_UNIT],
        "receipt_held": sorted(str(report.unit) for report in receipt.reports if report.unit_id in held),
        "receipt_barred": sorted(str(unit) for unit in stopped if unit.kind != UnitKind.COOLING_UNIT),
        "receipt_barred_cooling": sorted(str(unit) for unit in stopped if unit.kind == UnitKind.COOLING_UNIT),
    }
    flagged = bool(receipt.walkaround.flags) or any(report.flags for report in receipt.reports)
    if held or barred:
        codes = [*(["receipt_held"] if held else []), *(code for code in BARRED if named[code])]
        codes += ["receipt_also_load_at_risk"] if receipt.loads_at_risk else []
    elif receipt.loads_at_risk:
        codes = ["receipt_load_at_risk"]
    elif receipt.sightings:
        codes = ["receipt_found"]
    elif unknown:
        codes = []
    elif receipt.certificates or any(report.corrects for report in receipt.reports):
        codes = ["receipt_put_right"]
    else:
        all_over = all(report.looked_all_over for report in receipt.reports)
        quiet = "receipt_nothing_found" if all_over else "receipt_nothing_listed"
        codes = ["receipt_flagged" if flagged else quiet]
    codes = [*(["receipt_unknown_unit"] if named["receipt_unknown_unit"] else []), *codes]
    codes = ["receipt_unnamed_unit", *codes] if NO_UNIT in unknown else codes
    if flagged and codes != ["receipt_flagged"]:
        codes.append("receipt_also_flagged")
    recipients, not_reached = receipt.people
    if not recipients:
        codes = [f"{code}_without_recipients" if code in SAY_WHO_IS_NOTIFIED else code for code in codes]
    if not_reached:
        codes.insert(1, "receipt_not_reached")
    bars = [bar.says for report in receipt.reports for bar in bars_of(receipt, report, before, language)]
    said = [
        Message(code, {"units": named.get(code.removesuffix("_without_recipients"), []), "names": not_reached})
        for code in codes
    ]
    said += [_looked_at(report) for report in receipt.reports if report.without_answer]
    sentences = [messages.render(message, language) for message in said]
    first = 1 if held else 0
    return " ".join([*sentences[:first], *bars, *sentences[first:]])


def _looked_at(report: Report) -> Message:
    facts = {"unit": str(report.unit), "answered": report.places_answered, "required": report.places_required}
    return Message("receipt_looked_at", facts)


def _unit(receipt: Receipt, report: Report, language: str) -> WalkedUnitAnswer:
    catalogue = receipt.catalogue
    sightings = [sighting for sighting in receipt.sightings if sighting.report_id == report.pk]
    return WalkedUnitAnswer(
        unit=report.given_unit if report.unit is None else str(report.unit),
        report=report.pk,
        known=report.unit_id is not None,
        looks=LooksAnswer.of_report(report),
        barred_by=bars_of(receipt, report, receipt.holds, language),
        found=list(_found(receipt, sightings, language)),
        corrected=list(_corrected(receipt, report, sightings, language)),
        flags=[FlagAnswer.worded(item, language) for item in report.flags],
        **under_headings(report, [sighting.defect for sighting in sightings], catalogue, language),
    )


def _found(receipt: Receipt, sightings: Iterable[Sighting], language: str) -> Iterable[FoundAnswer]:
    holds = {hold.defect_id: hold.number for hold in receipt.holds}
    for sighting in sightings:
        defect = sighting.defect
        point = receipt.catalogue.get(defect.point)
        yield FoundAnswer(
            defect=defect.number,
            id=defect.pk,
            how=sighting.how,
            what=what_of_defect(defect, receipt.catalogue, language),
            point=defect.point,
            place=defect.place,
            severity=defect.severity,
            bars=bars_until_certified(defect.bars, defect.listing),
            listing=defect.listing,
            value=None if sighting.value is None else number(sighting.value),
            limit=None if defect.limit_value is None else number(defect.limit_value),
            unit_of_measure=sighting.unit_of_measure,
            source=defect.source,
            heard_from=sighting.heard_from,
            heard_at=sighting.heard_at,
            caution="" if point is None else point.text[language_of(language)].caution,
            put_right=put_right_of(defect.point, receipt.catalogue, language),
            comeback=defect.comeback_of_id is not None,
            hold=holds.get(defect.pk),
            order=defect.order_number,
        )


def _corrected(receipt: Receipt, report: Report, found: Iterable[Sighting], language: str) -> Iterable[CorrectedAnswer]:
    """The defects that the report ended, and what it corrected before anybody had reported it."""
    catalogue = receipt.catalogue
    ended = [item for item in receipt.certificates if item.defect.unit_id == report.unit_id]
    for item in ended:
        what = what_of_defect(item.defect, catalogue, language)
        yield CorrectedAnswer(defect=item.defect.number, what=what, certificate=item.kind, statement=item.statement)
    named = [*(sighting.defect for sighting in found), *(item.defect for item in ended)]
    known = {(defect.point, defect.place) for defect in named}
    for check in report.checks:
        fault = NamedFault(check["point"], check.get("place", ""), finding=check.get("finding", ""))
        if check["verdict"]["outcome"] == Outcome.CORRECTED and (fault.point, fault.place) not in known:
            what, done = what_of_fault(fault, catalogue, language), check.get("corrected_what", "")
            yield CorrectedAnswer(defect=None, what=what, certificate=None, statement=done)
