"""The decisions of a carrier: which keys there are and what values they take."""

import pytest

from fleet.rules.carrier.policies import POLICIES, PolicyRefused, check_policy

SOUND: dict[str, list[object]] = {
    "periodic_inspection_reading": ["by_day", "by_month_end"],
    "small_carrier_lift": [True, False],
    "clearance_buffer_hours": [0, 168],
    "walk_valid_hours": [1, 168],
    "outside_range_min": [1, 1440],
    "fuel_reserve_gal": [0, 5, 100],
    "catalogue_tightening": [[], [{"point": "brakes"}]],
    "states_run": [[], ["IL", "CA"]],
    "document_conditions": [{}, {"tractor": ["crosses_state_lines"], "carrier": ["for_hire"]}, {"person": []}],
    "notification_hours": [{}, {"morning": "06:00"}],
    "notification_escalation_min": [1, 60],
    "notification_document_escalation_days": [1, 60],
    "lead_times": [{}, {"registration": [90, 30, 0]}],
    "labor_rates": [{}, {"currency": "USD", "lead": "95.00", "helper": "60"}, {"currency": "CAD", "lead": "0.5"}],
}
UNSOUND: list[tuple[str, object, str]] = [
    ("periodic_inspection_reading", "strict", "policy_not_among_choices"),
    ("periodic_inspection_reading", None, "policy_not_among_choices"),
    ("small_carrier_lift", "true", "policy_not_a_flag"),
    ("small_carrier_lift", 1, "policy_not_a_flag"),
    ("clearance_buffer_hours", -1, "policy_not_whole_in_range"),
    ("clearance_buffer_hours", 169, "policy_not_whole_in_range"),
    ("clearance_buffer_hours", True, "policy_not_whole_in_range"),
    ("clearance_buffer_hours", "12", "policy_not_whole_in_range"),
    ("walk_valid_hours", 0, "policy_not_whole_in_range"),
    ("outside_range_min", 0, "policy_not_whole_in_range"),
    ("outside_range_min", 1441, "policy_not_whole_in_range"),
    ("fuel_reserve_gal", 101, "policy_not_whole_in_range"),
    ("fuel_reserve_gal", "5", "policy_not_whole_in_range"),
    ("catalogue_tightening", {}, "policy_not_a_list_of_objects"),
    ("catalogue_tightening", ["brakes"], "policy_not_a_list_of_objects"),
    ("states_run", "IL", "policy_not_states"),
    ("states_run", [7], "policy_not_states"),
    ("states_run", ["IL", "ZZ"], "state_unknown"),
    ("states_run", ["IL", "IL"], "policy_names_twice"),
    ("document_conditions", ["for_hire"], "policy_not_document_conditions"),
    ("document_conditions", {"ship": []}, "policy_not_document_conditions"),
    ("document_conditions", {"carrier": "for_hire"}, "policy_not_document_conditions"),
    ("document_conditions", {"carrier": [7]}, "policy_not_document_conditions"),
    ("document_conditions", {"carrier": ["for_fun"]}, "policy_document_condition_unknown"),
    ("document_conditions", {"carrier": ["for_hire", "for_hire"]}, "policy_names_twice"),
    ("notification_hours", {"noon": "12:00"}, "policy_malformed"),
    ("notification_hours", {"morning": "25:00"}, "policy_malformed"),
    ("notification_hours", [], "policy_malformed"),
    ("notification_escalation_min", 0, "policy_malformed"),
    ("labor_rates", [], "policy_malformed"),
    ("labor_rates", {"lead": "95.00"}, "policy_malformed"),
    ("labor_rates", {"currency": "usd", "lead": "95.00"}, "policy_malformed"),
    ("labor_rates", {"currency": "USD"}, "policy_malformed"),
    ("labor_rates", {"currency": "USD", "lead": 95}, "policy_malformed"),
    ("labor_rates", {"currency": "USD", "lead": "-1"}, "policy_malformed"),
    ("labor_rates", {"currency": "USD", "lead": "95.001"}, "policy_malformed"),
    ("labor_rates", {"currency": "USD", "boss": "95.00"}, "policy_malformed"),
    ("notification_document_escalation_days", 0, "policy_malformed"),
    ("notification_document_escalation_days", 61, "policy_malformed"),
    ("notification_document_escalation_days", True, "policy_malformed"),
    ("lead_times", [], "policy_not_lead_times"),
    ("lead_times", {"registration": []}, "policy_not_lead_times"),
    ("lead_times", {"registration": [-1]}, "policy_not_lead_times"),
    ("lead_times", {"registration": [367]}, "policy_not_lead_times"),
    ("lead_times", {"passport": [30]}, "policy_document_kind_unknown"),
    ("lead_times", {"registration": [0, 30]}, "policy_lead_times_not_falling"),
    ("lead_times", {"registration": [30, 30]}, "policy_lead_times_not_falling"),
]


def test_every_key__has_sound_and_unsound_values_here() -> None:
    assert set(SOUND) == set(POLICIES)
    assert {key for key, _, _ in UNSOUND} == set(POLICIES)


@pytest.mark.parametrize(("key", "value"), [(key, value) for key, values in SOUND.items() for value in values])
def test_sound_value__is_taken(key: str, value: object) -> None:
    check_policy(key, value)


@pytest.mark.parametrize("key", sorted(POLICIES))
def test_default__is_a_value_that_the_key_takes(key: str) -> None:
    check_policy(key, POLICIES[key].default)


@pytest.mark.parametrize(("key", "value", "code"), UNSOUND)
def test_unsound_value__is_refused_by_its_rule(key: str, value: object, code: str) -> None:
    with pytest.raises(PolicyRefused) as refused:
        check_policy(key, value)
    assert refused.value.code == code


@pytest.mark.parametrize("key", ["", "speed", "notification_hours:", "lead_times:NORTH", "notification_hours:NORTH:2"])
def test_unknown_key__is_refused(key: str) -> None:
    with pytest.raises(PolicyRefused) as refused:
        check_policy(key, {})
    assert refused.value.code == "policy_key_unknown"


def test_key_of_one_site__is_checked_as_the_carriers_own() -> None:
    check_policy("notification_hours:NORTH", {"morning": "05:00"})
    with pytest.raises(PolicyRefused):
        check_policy("notification_hours:NORTH", 5)
