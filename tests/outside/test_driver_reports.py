"""49 CFR 396.11(a)(1) to (a)(3), paragraph by paragraph, against what the service does over HTTP.

Source: 49 CFR 396.11 as of October 2021 and later (read in a copy of the regulation); FMCSA guidance on 396.11. What a
paragraph asks is typed here in our own words beside each check. Retention, (a)(4), is in `test_retention`; the eleven
groups of (a)(1) are in `test_part_groups`.
"""

from datetime import datetime
from typing import Any

import pytest

from common import clock
from defects.models import Defect, Report
from tests.factories.defects import photo_of
from tests.support.acting import acting_as
from tests.support.defects import certify, held_stroke, lamp_out, owed, signature
from tests.support.walks import UNITS, body, check, put

pytestmark = pytest.mark.usefixtures("ninefold")


def barring(*units: str) -> set[str]:
    rows = acting_as("cal").get("yard", unit=list(units)).json()["results"]
    return {reason["code"] for row in rows for reason in row["reasons"] if reason["kind"] == "bars"}


def certified(defect: Defect) -> str:
    """Its state after Greta certified it repaired."""
    answer = certify("greta", defect, statement="Lamp replaced and lit")
    assert answer.status_code == 200, answer.content
    state: str = answer.json()["state"]
    return state


def test_a1_written_report_for_each_vehicle_operated() -> None:
    """(a)(1): a report in writing on each vehicle operated, at the end of the day's work."""
    put(acting_as("iris"), body([{"unit": unit} for unit in UNITS], finished_at=clock.now(), kind="post_trip"))

    assert sorted(str(report.unit) for report in Report.objects.all()) == sorted(UNITS)


def test_a2i_report_names_the_vehicle_and_lists_each_defect_found() -> None:
    """(a)(2)(i): it identifies the vehicle and lists each defect that was discovered."""
    checks = [check("lamps.trailer.turn", "left", "defect"), check("tires.trailer.body", "axle-1-left-outer", "defect")]
    put(acting_as("iris"), body([{"unit": "LR-45", "checks": checks}], finished_at=clock.now(), kind="post_trip"))
    report = Report.objects.get()

    assert str(report.unit) == "LR-45"
    assert set(Defect.objects.filter(report=report).values_list("point", flat=True)) == {
        "lamps.trailer.turn",
        "tires.trailer.body",
    }


def test_a2i_defect_reported_to_the_driver_is_listed_too() -> None:
    """(a)(2)(i): also what was reported to the driver, who saw no point for it."""
    told = {"text": "the dock hand says the left door rod slips", "place": "rear"}
    put(acting_as("iris"), body([{"unit": "LR-45", "faults": [told]}], finished_at=clock.now(), kind="post_trip"))

    assert Defect.objects.get().text == "rear: the dock hand says the left door rod slips"
    assert "defect_not_graded" in barring("LR-45")


def test_a2i_more_than_one_vehicle_in_a_day_a_report_each() -> None:
    """(a)(2)(i): a driver who operated more than one vehicle prepares a report for each."""
    device = acting_as("iris")
    for unit in ("NL-15", "NL-16"):
        put(device, body([{"unit": unit}], finished_at=clock.now(), kind="post_trip"))

    assert Report.objects.count() == 2


def test_a2i_no_defect_no_report_required_and_none_owed_to_the_next_driver() -> None:
    """(a)(2)(i), since 79 FR 75437: no report is required when nothing was found; one that says so owes no review."""
    put(acting_as("iris"), body([{"unit": "LR-45"}], finished_at=clock.now(), kind="post_trip"))

    assert Report.objects.get().review_due is False
    assert owed("sol", "LR-45")["units"][0]["reports"] == []


def test_a2ii_driver_signs_and_one_signature_serves_a_team() -> None:
    """(a)(2)(ii): the driver signs; of a team of two one may, if both agree."""
    walk = body([{"unit": "LR-45"}], finished_at=clock.now(), kind="post_trip", team_mate="sol")
    put(acting_as("iris"), walk)
    report = Report.objects.select_related("signature__signer", "walkaround__team_mate").get()

    assert report.signature.signer.name == "Iris Quade"
    assert report.walkaround.team_mate is not None
    assert report.walkaround.team_mate.name == "Sol Marrin"


def test_a2ii_unsigned_is_no_report() -> None:
    walk = body([{"unit": "LR-45"}], finished_at=clock.now(), kind="post_trip")
    del walk["signature"]

    answer = acting_as("iris").put("walkarounds/01a21200-0000-7000-8000-00000000a211", walk)

    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/signature"]
    assert Report.objects.count() == 0


def test_a3i_safety_defect_is_repaired_before_the_vehicle_is_used_again() -> None:
    """(a)(3)(i): until then nobody may require or permit it to be operated."""
    defect = lamp_out()
    assert {"defect_not_certified"} <= barring("LR-46")

    assert certified(defect) == "certified"
    assert "defect_not_certified" not in barring("LR-46")


def test_a3ii_every_listed_defect_certified_repaired_or_unnecessary() -> None:
    """(a)(3)(ii): one certified defect of two leaves the vehicle barred by the other."""
    first = lamp_out()
    checks = [check("lamps.trailer.tape-sides", "left", "defect")]
    put(acting_as("iris"), body([{"unit": "LR-46", "checks": checks}], finished_at=clock.now()))
    second = Defect.objects.exclude(pk=first.pk).get()
    certified(first)
    assert "defect_not_certified" in barring("LR-46")

    tomorrow = clock.now().date().replace(year=clock.now().year + 1).isoformat()
    unnecessary = {
        "kind": "repair_unnecessary",
        "statement": "tape dull at one end, most of it reflects",
        "limit_on": tomorrow,
    }
    photo = photo_of(second).original_id
    answer = acting_as("greta").act(
        f"defects/{second.number}", "certify", {**unnecessary, "photo": photo, "signature": signature()}
    )

    assert answer.status_code == 200, answer.content
    assert answer.json()["state"] == "deferred"
    assert "defect_not_certified" not in barring("LR-46")


def test_a3ii_certificate_is_signed_and_stands_with_the_report() -> None:
    """(a)(3)(ii): the carrier or its agent certifies on the report itself."""
    defect = held_stroke()
    measured = {"value": "1.62", "unit_of_measure": "in", "measured_at": clock.now().isoformat()}
    certify("greta", defect, measured=measured)

    shown: dict[str, Any] = acting_as("sol").get(f"defects/{defect.number}").json()["certificates"][0]

    assert shown["kind"] == "repaired"
    assert shown["signed_by"]["name"] == "Greta Lind"
    assert owed("sol", "LR-46")["units"][0]["certificates"] != []


def test_repair_cannot_be_called_unnecessary_past_a_regulations_limit() -> None:
    """(a)(3)(ii) with 393.47(e): a stroke past the limit affects safe operation whatever anybody says.

    The carrier's own rule holds the unit besides; without that rule the regulation's limit alone forbids it.
    """
    defect = held_stroke()
    until = {"limit_on": datetime(2030, 1, 1, tzinfo=clock.now().tzinfo).date().isoformat()}
    given = {"kind": "repair_unnecessary", "statement": "can wait", "signature": signature(), **until}

    for severity in (defect.severity, "before_next_use"):
        Defect.objects.filter(pk=defect.pk).update(severity=severity)
        answer = acting_as("greta").act(f"defects/{defect.number}", "certify", given)

        said = answer.json()
        assert (answer.status_code, said["code"]) == (409, "dismissal_refused")
        assert (said["severity"], said["regulation"]) == (severity, "before_next_use")
        assert Defect.objects.get(pk=defect.pk).state == "reported"
