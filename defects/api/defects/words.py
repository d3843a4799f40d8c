"""Filling a defect's answer in a person's language. Decides nothing."""

from decimal import Decimal

from defects.models import Certificate, Defect, EntryInError, Hold, RepeatedTest, Sighting
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.stored import decimal_text
from defects.selectors.defects.defects import DefectPage, evidence_of
from defects.selectors.defects.naming import language_of, what_of_defect
from defects.transitions import DEFECTS
from fleet.models import Person, Unit

Body = dict[str, object]


def defect_body(defect: Defect, catalogue: Catalogue, language: str) -> Body:
    """One defect as a list shows it."""
    return {
        "id": defect.pk,
        "number": defect.number,
        "unit": unit_body(defect.unit),
        "what": what_of_defect(defect, catalogue, language),
        "point": defect.point,
        "place": defect.place,
        "state": defect.state,
        "severity": defect.severity,
        "bars": defect.bars,
        "standing": defect.standing,
        "listing": defect.listing,
        "graded": defect.graded,
        "value": decimal_or_none(defect.value),
        "limit": decimal_or_none(defect.limit_value),
        "unit_of_measure": defect.unit_of_measure,
        "rule": defect.rule,
        "source": defect.source,
        "found_by": person_body(defect.found_by),
        "found_at": defect.found_at,
        "repair_order": defect.order_number,
        "expected_at": defect.expected_at,
        "comeback_of": None if defect.comeback_of is None else defect.comeback_of.number,
    }


def page_body(page: DefectPage, catalogue: Catalogue, person: Person) -> Body:
    """One defect with everything that hangs on it."""
    defect, language = page.defect, person.language
    point = catalogue.get(defect.point)
    return {
        **defect_body(defect, catalogue, language),
        "regulation_severity": defect.regulation_severity,
        "catalogue": defect.catalogue_id or "",
        "roadside_inspection": defect.roadside_id,
        "text": defect.text,
        "caution": "" if point is None else point.text[language_of(language)].caution,
        "put_right": "" if point is None else point.text[language_of(language)].put_right,
        "evidence": str(evidence_of(defect, catalogue)),
        "sightings": [_sighting(sighting) for sighting in page.sightings],
        "certificates": [certificate_body(item, defect) for item in page.certificates],
        "holds": [_hold(hold) for hold in page.holds],
        "photos": [
            *(_photo(f"walkarounds/{walkaround}", sha256) for walkaround, sha256 in page.photos_of_reports),
            *(_photo(f"defects/{defect.number}", sha256) for sha256 in page.photos),
        ],
        "repeated_tests": [_test(test) for test in page.tests],
        "entry_in_error": None if page.entry is None else _entry(page.entry),
        "comebacks": list(page.comebacks),
        "allowed_actions": allowed_actions(defect, person),
    }


def allowed_actions(defect: Defect, person: Person) -> list[str]:
    """What the person may do with the defect now; a fault without a grade must be graded first."""
    actions = DEFECTS.allowed_actions(defect.state, person.current_roles)
    hidden = {"grade"} if defect.graded else {"regrade", "certify_repaired", "certify_unnecessary"}
    return [action for action in actions if action not in hidden]


def certificate_body(certificate: Certificate, defect: Defect) -> Body:
    """One certificate with its signer and the people who did the work."""
    flags = {
        "driver_as_agent": certificate.agent_reason != "",
        "on_the_spot": certificate.corrected_on_the_spot,
        "by_link": certificate.link_id is not None,
    }
    return {
        "id": certificate.pk,
        "kind": certificate.kind,
        "statement": certificate.statement,
        "signed_by": person_body(certificate.signature.signer),
        "firm": certificate.firm,
        "brake_evidence": certificate.brake_evidence,
        "worked_by": [person_body(person) for person in sorted(certificate.worked_by.all(), key=lambda who: who.name)],
        "certified_at": certificate.certified_at,
        "limit_on": certificate.limit_on,
        "limit_mi": decimal_or_none(certificate.limit_mi),
        "limit_engine_h": decimal_or_none(certificate.limit_engine_h),
        "after_value": None if certificate.measurement is None else decimal_text(certificate.measurement.value),
        "photo_sha256": certificate.photo_sha256,
        "agent_reason": certificate.agent_reason,
        "flags": [flag for flag, stands in flags.items() if stands],
        "in_force": certificate.pk == defect.current_certificate_id,
        "superseded": hasattr(certificate, "superseded_by"),
    }


def unit_body(unit: Unit) -> Body:
    """A unit in short."""
    return {"id": unit.pk, "kind": unit.kind, "number": unit.number, "owner": unit.owner}


def person_body(person: Person) -> Body:
    """A person in short."""
    return {"id": person.pk, "name": person.name}


def decimal_or_none(value: Decimal | None) -> str | None:
    """A decimal without zeros at its end, or None."""
    return None if value is None else decimal_text(value)


def _sighting(sighting: Sighting) -> Body:
    return {
        "how": sighting.how,
        "person": person_body(sighting.person),
        "seen_at": sighting.seen_at,
        "report": sighting.report_id,
        "severity": sighting.severity,
        "value": decimal_or_none(sighting.value),
        "unit_of_measure": sighting.unit_of_measure,
        "note": sighting.note,
    }


def _test(test: RepeatedTest) -> Body:
    return {
        "person": person_body(test.person),
        "passed": test.passed,
        "note": test.note,
        "tested_at": test.tested_at,
    }


def _entry(entry: EntryInError) -> Body:
    return {
        "entered_by": person_body(entry.signature.signer),
        "reason": entry.reason,
        "shown_by": person_body(entry.shown_by),
        "by": entry.shown_how,
        "entered_at": entry.entered_at,
    }


def _photo(place: str, sha256: str) -> Body:
    return {"sha256": sha256, "url": f"/api/v1/{place}/photos/{sha256}"}


def _hold(hold: Hold) -> Body:
    return {
        "number": hold.number,
        "kind": hold.kind,
        "placed_at": hold.placed_at,
        "lifted_at": hold.lifted_at,
    }
