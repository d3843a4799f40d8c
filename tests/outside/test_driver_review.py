"""49 CFR 396.13, paragraph by paragraph, against what the service does over HTTP.

Source: 49 CFR 396.13 in a copy verified against the regulation on 20 June 2026 (read); FMCSA guidance on 396.13,
question 1 (read). What a paragraph asks is typed here in our own words beside each check.
"""

import pytest

from common import clock
from defects.models import Defect, DriverReview
from tests.support.acting import acting_as
from tests.support.defects import certified, certify, held_stroke, lamp_out, owed, review, reviewed
from tests.support.ninefold import person
from tests.support.walks import body, put

pytestmark = pytest.mark.usefixtures("ninefold")

UNITS = ("NL-16", "LR-46", "CU-46")


def steps(driver: str, *units: str) -> set[str]:
    arrival = clock.now().replace(year=clock.now().year + 1).isoformat()
    given = {"units": list(units), "arrival": arrival, "driver": str(person(driver).pk)}
    answer = acting_as("cal").post("clearances", given)
    assert answer.status_code == 201, answer.content
    return {reason["code"] for reason in answer.json()["reasons"]}


def test_a_driver_must_be_satisfied_first() -> None:
    """(a): before driving the driver must be satisfied that the vehicle is in safe condition: walk it."""
    assert "walk_due" in steps("sol", "NL-16", "LR-46")

    put(acting_as("sol"), body([{"unit": unit} for unit in UNITS], finished_at=clock.now(), coupled=True))

    assert "walk_due" not in steps("sol", "NL-16", "LR-46")


def test_b_last_report_is_to_be_reviewed_if_one_was_required() -> None:
    """(b): review the last report if 396.11 required one."""
    certified("greta", lamp_out())

    assert [len(unit["reports"]) for unit in owed("sol", *UNITS)["units"]] == [0, 1, 0]
    assert "review_not_signed" in steps("sol", "NL-16", "LR-46")


def test_b_nothing_found_nothing_to_review() -> None:
    put(acting_as("iris"), body([{"unit": "LR-46"}], finished_at=clock.now(), kind="post_trip"))

    assert "review_not_signed" not in steps("sol", "NL-16", "LR-46")


def test_c_driver_signs_that_report_and_certification_were_seen() -> None:
    """(c): the signature acknowledges that the report was reviewed and that the repairs are certified."""
    defect = lamp_out()
    certified("greta", defect)

    reviewed("sol", *UNITS)

    signed = DriverReview.objects.select_related("signature__signer").get(unit__number="LR-46")
    assert signed.signature.signer.name == "Sol Marrin"
    assert [report.pk for report in signed.reports.all()] == [Defect.objects.get(pk=defect.pk).report_id]
    assert signed.certificates.count() == 1
    assert "review_not_signed" not in steps("sol", "NL-16", "LR-46")


def test_c_without_the_certification_the_driver_may_not_sign_or_drive() -> None:
    """(c) and guidance question 1: a vehicle whose listed defects are not certified may not be operated."""
    lamp_out()

    answer = review("sol", *UNITS)

    assert (answer.status_code, answer.json()["code"]) == (409, "certificate_missing")
    assert {"defect_not_certified"} <= steps("sol", "NL-16", "LR-46")


def test_c_not_for_a_towed_unit_that_is_no_longer_part_of_the_combination() -> None:
    """(c): the signature does not apply to defects listed on a towed unit no longer in the combination."""
    certified("greta", lamp_out())

    assert "review_not_signed" not in steps("sol", "NL-16", "LR-45")
    assert "review_not_signed" in steps("sol", "NL-16", "LR-46")


def test_c_it_is_due_from_whoever_takes_the_towed_unit_next() -> None:
    """(c), after a swap: the defect follows the trailer, and so does the duty to review."""
    certified("greta", lamp_out())

    assert [len(unit["reports"]) for unit in owed("ada", "NL-11", "LR-46")["units"]] == [0, 1]


def test_guidance_driver_may_sign_the_certification_as_the_carriers_agent() -> None:
    """Guidance on 396.13, question 1: a driver who is satisfied that the repairs were made may sign as agent."""
    defect = lamp_out()

    refused = certify("sol", defect, statement="Lamp replaced")
    signed = certify("sol", defect, statement="Lamp replaced", agent_reason="changed at the pump, I saw it lit")

    assert refused.status_code == 422
    assert (signed.status_code, signed.json()["state"]) == (200, "certified")


def test_refused_review_changes_nothing() -> None:
    defect = held_stroke()

    review("sol", "LR-46")

    assert DriverReview.objects.count() == 0
    assert Defect.objects.get(pk=defect.pk).state == "reported"
