"""The expiry list of a carrier that has not said which conditional documents apply: not known, kind by kind."""

import pytest

from fleet.enums import Role
from fleet.services.carrier.policies import set_policy
from tests.factories.fleet import NOON, make_person, make_unit
from tests.support.acting import acting_as


@pytest.mark.usefixtures("carrier")
def test_conditional_documents__not_known_until_the_carrier_has_said_which_apply() -> None:
    desk = acting_as(Role.COMPLIANCE, name="Vera Holt")
    listed = [row for row in desk.get("expiries").json()["results"] if row["status"] == "not_known"]
    asked = {(row["kind"], row["subject"]) for row in listed}
    assert asked == {
        ("apportioned_cab_card", "tractor"),
        ("fuel_tax_licence", "tractor"),
        ("heavy_vehicle_use_tax", "tractor"),
        ("lease", "tractor"),
        ("lease", "trailer"),
        ("insurance", "carrier"),
        ("periodic_inspector_evidence", "person"),
        ("brake_inspector_evidence", "person"),
        ("refrigerant_card", "person"),
        ("commercial_driver_licence", "person"),
        ("medical_certificate", "person"),
    }
    assert len({row["id"] for row in listed}) == len(listed) == len(asked)
    assert {row["says"] for row in listed} == {"Not known: the carrier has not said whether it applies."}
    assert {(row["days_left"], row["document"], row["person"], row["bars_clearance"]) for row in listed} == {
        (None, None, None, False)
    }
    calendar = desk.get("expiries", format="ics").content.replace(b"\r\n ", b"")
    assert b"insurance: the carrier has not said whether it applies" in calendar
    assert desk.get("expiries", format="csv").content.count(b"not_known") == len(listed)
    make_unit(number="NL-11")
    assert {row["status"] for row in desk.get("expiries", unit="NL-11").json()["results"]} == {"missing"}
    set_policy(key="document_conditions", value={}, valid_from=None, reason="", actor=make_person("Vee"), now=NOON)
    assert "not_known" not in {row["status"] for row in desk.get("expiries").json()["results"]}
