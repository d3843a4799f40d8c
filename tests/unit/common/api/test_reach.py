"""What a handler reaches is read off the code: through functions, methods, classes of arguments and signals."""

from common.api.operation_problems import problems_of
from common.api.reach import mentioned_in, raised_in, reached
from common.errors import Conflict, Invalid, NotAllowed, NotFound
from defects.api.defects.views import DefectViewSet
from defects.api.holds.views import HoldViewSet
from fleet.api.carrier.policies import PolicyViewSet
from fleet.api.people.people import PersonViewSet
from fleet.api.units.kinds import TractorViewSet
from workorders.api.orders.views import OrderViewSet


def test_refusals_of_a_service__are_found_with_their_kind() -> None:
    raised = raised_in(reached(DefectViewSet, ["certify"]))
    assert raised >= {("sign_yourself", NotAllowed), ("on_officers_order", Conflict), ("measured_in_future", Invalid)}
    assert "already_mounted" not in dict(raised)


def test_methods_of_a_table__only_those_that_are_called() -> None:
    assert "action_not_allowed" in dict(raised_in(reached(DefectViewSet, ["certify"])))
    assert "action_not_allowed" not in dict(raised_in(reached(DefectViewSet, ["retrieve"])))


def test_code_that_the_view_names__is_found_where_the_base_raises_it() -> None:
    assert (OrderViewSet.unknown, NotFound) in raised_in(reached(OrderViewSet, ["retrieve"]))


def test_code_raised_in_two_kinds__is_told_in_both() -> None:
    raised = raised_in(reached(OrderViewSet, ["create"]))
    assert raised >= {("unit_unknown", NotFound), ("unit_unknown", Invalid)}


def test_code_of_a_function_that_is_given__is_told_in_the_kind_it_is_raised_as() -> None:
    assert ("defect_unknown", Invalid) in raised_in(reached(HoldViewSet, ["create"]))


def test_what_a_constraint_refuses__is_told_where_a_row_of_its_table_is_stored() -> None:
    assert "unit_number_taken" in problems_of(TractorViewSet(), "create", "POST", "/tractors")[409]
    assert "username_taken" in problems_of(PersonViewSet(), "partial_update", "PATCH", "/people/{key}")[409]
    assert "unit_number_taken" not in problems_of(PolicyViewSet(), "create", "POST", "/policies")[409]


def test_who_receives_a_signal__is_followed() -> None:
    """Defects refuse a carrier's rules when the fleet stores them."""
    assert "carrier_rules_refused" in dict(raised_in(reached(PolicyViewSet, ["create"])))


def test_headers__by_what_is_mentioned_on_the_way() -> None:
    assert mentioned_in(reached(HoldViewSet, ["create"]), "Location")
    assert not mentioned_in(reached(HoldViewSet, ["lift"]), "Location")


def test_statuses_of_an_operation__follow_from_its_codes() -> None:
    found = problems_of(HoldViewSet(), "create", "POST", "/holds")
    assert "unit_unknown" in found[404] + found[422]
    assert 412 not in found
    assert "version_changed" in problems_of(HoldViewSet(), "lift", "POST", "/holds/{ref}/lift")[412]
