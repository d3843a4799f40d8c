"""From hold to rolling, over HTTP by each person with their own token: repaired, certified, lifted, reviewed."""

import pytest

from common import clock
from defects.models import Certificate, Defect, Hold
from tests.support.defects import certify, held_stroke, lift, owed, review, reviewed, unit

pytestmark = pytest.mark.usefixtures("ninefold")


def test_brake_over_its_limit__repaired_certified_lifted_reviewed_closed() -> None:
    defect = held_stroke()
    hold = Hold.objects.get(defect=defect)
    measured = {"value": "1.62", "unit_of_measure": "in", "measured_at": clock.now().isoformat()}

    certified = certify("greta", defect, measured=measured)
    assert certified.status_code == 200, certified.content
    assert certified.json()["state"] == "certified"
    lifted = lift("hob", hold)
    assert lifted.status_code == 200, lifted.content
    assert lifted.json()["lift_flag"] == ""
    signed = reviewed("sol", "NL-15", "LR-46")

    defect.refresh_from_db()
    assert defect.state == "closed"
    assert [part["certificates"] for part in signed["units"]] == [[], [str(Certificate.objects.get().pk)]]
    kinds = list(unit().history.order_by("sequence").values_list("kind", flat=True))
    assert [kind for kind in kinds if kind.split("_")[0] in {"certificate", "hold", "driver", "defect"}] == [
        "defect_reported",
        "hold_placed",
        "certificate_signed",
        "hold_lifted",
        "driver_reviewed",
        "defect_closed",
    ]
    assert owed("sol", "NL-15", "LR-46")["units"][1] == {
        **owed("sol", "LR-46")["units"][0],
        "reports": [],
        "certificates": [],
        "defects": [],
        "missing": [],
    }


def test_without_certificate__review_refused_with_the_list_and_nothing_changed() -> None:
    defect = held_stroke()

    refused = review("sol", "LR-46")

    assert refused.status_code == 409
    assert (refused.json()["code"], refused.json()["defects"]) == ("certificate_missing", [defect.number])
    assert Defect.objects.get(pk=defect.pk).state == "reported"
    assert len(owed("sol", "LR-46")["units"][0]["reports"]) == 1


def test_hold_before_the_repair__is_not_lifted() -> None:
    defect = held_stroke()
    hold = Hold.objects.get(defect=defect)

    refused = lift("hob", hold)

    assert refused.status_code == 409
    assert (refused.json()["code"], refused.json()["defects"]) == ("repairs_outstanding", [defect.number])
    named = f"{defect.number} Pushrod stroke, axle 2 right: 2.31 in, limit 2 in"
    assert refused.json()["faults"] == named
    assert refused.json()["detail"] == f"Hold {hold.number} stays until these defects are certified repaired: {named}."
    hold.refresh_from_db()
    assert hold.lifted_at is None
