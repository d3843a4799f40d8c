"""Which documents an expiry list expects, and graces by the ends that they follow."""

import datetime as dt

import pytest

from fleet.rules.documents.expected import SHOWN_BY_ROLE, SHOWN_BY_SCOPE, expected_documents, graces
from fleet.rules.documents.kinds import CONDITIONS
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import stored_end

KINDS = load_document_kinds()


def expected(conditions: dict[str, set[str]], *states: str) -> set[tuple[str, str, str]]:
    found = expected_documents(KINDS.values(), conditions, set(states))
    return {(document.subject, document.kind, document.state) for document in found}


def test_nothing_decided__leaves_what_everybody_needs() -> None:
    assert expected({}) == {
        ("tractor", "registration", ""),
        ("tractor", "periodic_inspection", ""),
        ("trailer", "registration", ""),
        ("trailer", "periodic_inspection", ""),
        ("carrier", "unified_registration_fee", ""),
        ("carrier", "biennial_update", ""),
    }


def test_states_run__bring_the_documents_of_those_states_alone() -> None:
    assert expected({}, "CA", "KY", "TX") - expected({}) == {
        ("tractor", "weight_distance_permit", "KY"),
        ("cooling_unit", "cooling_unit_label", "CA"),
        ("cooling_unit", "cooling_unit_in_use_standard", "CA"),
    }


def test_persons_document__keeps_the_condition_that_the_person_must_meet() -> None:
    found = expected_documents(KINDS.values(), {"person": set(CONDITIONS)}, set())
    assert {(document.kind, document.conditions) for document in found if document.subject == "person"} == {
        ("periodic_inspector_evidence", frozenset({"inspects_periodically"})),
        ("brake_inspector_evidence", frozenset({"answers_for_brakes"})),
        ("refrigerant_card", frozenset({"opens_refrigerant_circuits"})),
        ("commercial_driver_licence", frozenset({"drives"})),
        ("medical_certificate", frozenset({"drives"})),
    }
    assert all(not document.conditions for document in found if document.subject != "person")


def test_conditions_of_people__are_all_shown_by_a_role_or_a_scope() -> None:
    asked = {name for kind in KINDS.values() if "person" in kind.applies_to for name in kind.when}
    assert asked == SHOWN_BY_ROLE.keys() | SHOWN_BY_SCOPE.keys()


@pytest.mark.parametrize("today", [dt.date(2026, 3, 6), dt.date(2028, 2, 29)])
def test_graces__are_those_of_the_rules_and_of_no_other_kind(today: dt.date) -> None:
    found = graces(KINDS.values(), today)
    assert {grace.kind for grace in found} == {"fuel_tax_licence", "heavy_vehicle_use_tax"}
    assert len(found) == 2 * 61
    for grace in found:
        end = stored_end(KINDS[grace.kind].rule, grace.ends_on)
        assert (grace.last_day, grace.counts_to) == (end.last_day(), end.reminder_day())
