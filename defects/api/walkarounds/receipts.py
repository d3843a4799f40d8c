"""The driver's answer: what was found, held, ordered and queried on each unit, who was told, and where to ask on."""

from collections.abc import Iterable
from urllib.parse import urlencode

from rest_framework import serializers

from common import messages
from common.api.fields import DecimalString, FlagField, InstantField, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from common.measures import number
from common.messages import Message
from defects.api.walkarounds.headings import HeadedOut, stops_unit, under_headings
from defects.enums import Bars, CertificateKind, Listing, Severity, SightingHow
from defects.models import Certificate, Report, Sighting
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.receipts import Receipt
from defects.selectors.words import language_of, put_right_of, query_words, what_of_defect


class FoundOut(StrictSerializer):
    """One finding: the defect it opened, raised or was seen again as."""

    defect = serializers.IntegerField()
    id = serializers.UUIDField()
    how = serializers.ChoiceField(choices=choices(SightingHow))
    what = TextField(max_length=400)
    point = TextField(max_length=80)
    place = TextField(max_length=40)
    severity = serializers.ChoiceField(choices=choices(Severity))
    bars = serializers.ChoiceField(choices=choices(Bars), help_text="what it keeps the unit from until it is certified")
    listing = serializers.ChoiceField(
        choices=choices(Listing), help_text="why it needs its certificate before the unit is driven again, or `noted`"
    )
    value = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    limit = DecimalString(max_digits=12, decimal_places=4, allow_null=True)
    unit_of_measure = TextField(max_length=16)
    source = TextField(max_length=160)  # type: ignore[assignment]  # a field may be called like an attribute of fields
    caution = TextField(max_length=1000)
    put_right = TextField(max_length=1000, help_text="what the driver does to end it; empty where the shop must")
    comeback = FlagField(help_text="the same fault was repaired before")
    hold = serializers.IntegerField(allow_null=True)
    repair_order = serializers.IntegerField(allow_null=True)


class CorrectedOut(StrictSerializer):
    """An open defect that was put right on the spot and certified."""

    defect = serializers.IntegerField()
    what = TextField(max_length=600, help_text="what was put right, in your language")
    certificate = serializers.ChoiceField(choices=choices(CertificateKind))
    statement = TextField(max_length=600)


class QueriedOut(StrictSerializer):
    """Something kept as signed that the foreman will look at; it counts for nothing until then."""

    code = TextField(max_length=60)
    detail = TextField(max_length=400)
    check = serializers.IntegerField(allow_null=True, help_text="position in the report's checks")
    meter = serializers.IntegerField(allow_null=True, help_text="position in the report's meters")


class LookedAtOut(StrictSerializer):
    """One leg signed for as looked at. One that does not count is queried."""

    leg = TextField(max_length=40)
    at = TextField(max_length=40)
    counts = FlagField()


class WithoutAnswerOut(StrictSerializer):
    """A place that the walk asks every time and that has no answer: no leg covers it and no check answers it."""

    point = TextField(max_length=80)
    place = TextField(max_length=40)
    why = TextField(max_length=20, help_text="no_answer, queried, or the reason given for not reaching it")


class LooksOut(StrictSerializer):
    """How much of what the walk asks every time has an answer: each place of each point counts once."""

    asked = serializers.IntegerField()
    answered = serializers.IntegerField(help_text="by a leg or one by one")
    by_leg = serializers.IntegerField(help_text="how many of those answered are covered by a leg alone")
    legs = LookedAtOut(many=True)
    without_answer = WithoutAnswerOut(many=True)


class UnitOut(StrictSerializer):
    """What became of one unit's report. Each fault of `found` that stands open is under one of three headings."""

    unit = TextField(max_length=160)
    report = serializers.UUIDField()
    known = FlagField()
    looks = LooksOut()
    found = FoundOut(many=True)
    to_certify = HeadedOut(help_text="need their certificate before the unit is driven again (396.11(a)(3))")
    to_put_right = HeadedOut(help_text="the driver's to end; see `put_right`")
    noted = HeadedOut(help_text="noted for the shop alone, beside the certified list (396.11(a)(2)(i))")
    corrected = CorrectedOut(many=True)
    queried = QueriedOut(many=True)


class ToldOut(StrictSerializer):
    """Who is told of a hold, a load at risk or a fault to grade, or should be and cannot be reached."""

    name = TextField(max_length=120)


class ReceiptOut(StrictSerializer):
    """The whole answer. `clearance` is where to ask, now, whether these units may roll."""

    id = serializers.UUIDField()
    replayed = FlagField()
    received_at = InstantField()
    performed_at = InstantField()
    says = TextField(max_length=1200)
    units = UnitOut(many=True)
    queried = QueriedOut(many=True)
    told = ToldOut(many=True)
    not_reached = ToldOut(many=True, help_text="who should be told and whom no message can reach: call them")
    loads_at_risk = serializers.ListField(child=serializers.UUIDField(), help_text="records to write readings into")
    clearance = TextField(max_length=400)


def receipt_body(receipt: Receipt, language: str) -> dict[str, object]:
    """The receipt in a person's language."""
    walkaround, catalogue = receipt.walkaround, receipt.catalogue
    units = [_unit(receipt, report, catalogue, language) for report in receipt.reports]
    told, not_reached = receipt.people
    known = [str(report.unit) for report in receipt.reports if report.unit is not None]
    return {
        "id": walkaround.pk,
        "replayed": receipt.replayed,
        "received_at": walkaround.received_at,
        "performed_at": walkaround.performed_at,
        "says": _says(receipt, language),
        "units": units,
        "queried": [_queried(item, language) for item in walkaround.queried],
        "told": [{"name": name} for name in told],
        "not_reached": [{"name": name} for name in not_reached],
        "loads_at_risk": list(receipt.loads_at_risk),
        "clearance": f"/api/v1/yard?{urlencode([('unit', unit) for unit in known])}" if known else "/api/v1/yard",
    }


SAY_TOLD = frozenset({"receipt_held", "receipt_load_at_risk", "receipt_also_load_at_risk"})
"""Sentences that say that somebody is told; each has one that does not."""


def _says(receipt: Receipt, language: str) -> str:
    """The gravest thing first, and after it what must not be missed beside it; silence is never nothing found."""
    held = {hold.unit_id for hold in receipt.holds}
    barred = {sighting.defect.unit_id for sighting in receipt.sightings if stops_unit(sighting.defect)}
    unknown = receipt.unknown_units
    queried = bool(receipt.walkaround.queried) or any(report.queried for report in receipt.reports)
    if held or barred:
        codes = [*(["receipt_held"] if held else []), *(["receipt_barred"] if barred - held else [])]
        codes += ["receipt_also_load_at_risk"] if receipt.loads_at_risk else []
    elif receipt.loads_at_risk:
        codes = ["receipt_load_at_risk"]
    elif receipt.sightings:
        codes = ["receipt_found"]
    elif unknown:
        codes = []
    elif receipt.certificates or any(_puts_right(report) for report in receipt.reports):
        codes = ["receipt_put_right"]
    else:
        all_over = all(report.looked_all_over for report in receipt.reports)
        quiet = "receipt_nothing_found" if all_over else "receipt_nothing_listed"
        codes = ["receipt_queried" if queried else quiet]
    codes = ["receipt_unknown_unit", *codes] if unknown else codes
    if queried and codes != ["receipt_queried"]:
        codes.append("receipt_also_queried")
    named = {
        "receipt_unknown_unit": unknown,
        "receipt_held": sorted(str(report.unit) for report in receipt.reports if report.unit_id in held),
        "receipt_barred": sorted(str(report.unit) for report in receipt.reports if report.unit_id in barred - held),
    }
    told, not_reached = receipt.people
    if not_reached:
        codes = [f"{code}_untold" if code in SAY_TOLD and not told else code for code in codes]
        codes.insert(1, "receipt_not_reached")
    said = [
        Message(code, {"units": named.get(code.removesuffix("_untold"), []), "names": not_reached}) for code in codes
    ]
    said += [_looked_at(report) for report in receipt.reports if report.without_answer]
    return " ".join(messages.render(message, language) for message in said)


def _puts_right(report: Report) -> bool:
    return any(check["verdict"]["outcome"] == "corrected" for check in report.checks)


def _looked_at(report: Report) -> Message:
    facts = {"unit": str(report.unit), "answered": report.places_answered, "asked": report.places_asked}
    return Message("receipt_looked_at", facts)


def _unit(receipt: Receipt, report: Report, catalogue: Catalogue, language: str) -> dict[str, object]:
    sightings = [sighting for sighting in receipt.sightings if sighting.report_id == report.pk]
    return {
        "unit": report.given_unit if report.unit is None else str(report.unit),
        "report": report.pk,
        "known": report.unit_id is not None,
        "looks": looks_body(report),
        "found": list(_found(receipt, sightings, catalogue, language)),
        **under_headings(report, [sighting.defect for sighting in sightings], catalogue, language),
        "corrected": [
            _corrected(c, catalogue, language) for c in receipt.certificates if c.defect.unit_id == report.unit_id
        ],
        "queried": [_queried(item, language) for item in report.queried],
    }


def looks_body(report: Report) -> dict[str, object]:
    """What of the walk has an answer on a report, and what has none."""
    return {
        "asked": report.places_asked,
        "answered": report.places_answered,
        "by_leg": report.places_covered,
        "legs": report.looked_at,
        "without_answer": [{name: row[name] for name in ("point", "place", "why")} for row in report.without_answer],
    }


def _found(
    receipt: Receipt, sightings: Iterable[Sighting], catalogue: Catalogue, language: str
) -> Iterable[dict[str, object]]:
    holds = {hold.defect_id: hold.number for hold in receipt.holds}
    for sighting in sightings:
        defect = sighting.defect
        point = catalogue.get(defect.point)
        yield {
            "defect": defect.number,
            "id": defect.pk,
            "how": sighting.how,
            "what": what_of_defect(defect, catalogue, language),
            "point": defect.point,
            "place": defect.place,
            "severity": defect.severity,
            "bars": Bars.MOVEMENT if stops_unit(defect) else defect.bars,
            "listing": defect.listing,
            "value": None if sighting.value is None else number(sighting.value),
            "limit": None if defect.limit_value is None else number(defect.limit_value),
            "unit_of_measure": sighting.unit_of_measure,
            "source": defect.source,
            "caution": "" if point is None else point.text[language_of(language)].caution,
            "put_right": put_right_of(defect.point, catalogue, language),
            "comeback": defect.comeback_of_id is not None,
            "hold": holds.get(defect.pk),
            "repair_order": defect.order_number,
        }


def _corrected(certificate: Certificate, catalogue: Catalogue, language: str) -> dict[str, object]:
    return {
        "defect": certificate.defect.number,
        "what": what_of_defect(certificate.defect, catalogue, language),
        "certificate": certificate.kind,
        "statement": certificate.statement,
    }


def _queried(item: dict[str, object], language: str) -> dict[str, object]:
    code, facts = str(item["code"]), item["facts"]
    return {
        "code": code,
        "detail": query_words(code, facts if isinstance(facts, dict) else {}, language),
        "check": item.get("check"),
        "meter": item.get("meter"),
    }
