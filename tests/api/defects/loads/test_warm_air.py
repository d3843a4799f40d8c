"""Warm air over a cold load, over HTTP: a recorder's readings, the job, the list, the answer, the decision, the end."""

import datetime as dt

from common import clock
from fleet.models import CoolingReading
from fleet.services.cooling.learning import learn_from_readings
from tests.factories.fleet import HOUR, NOON
from tests.support.acting import acting_as
from tests.support.dock import Dock

READINGS = "cooling-units/CU-46/readings"


def celsius(*degrees: str) -> dict[str, object]:
    """Return air of every half an hour up to now, as a recorder shows it in °C."""
    times = [clock.now() - back * dt.timedelta(minutes=30) for back in range(len(degrees))]
    rows = [
        {"read_at": at.isoformat(), "return_air": shown, "mode": "cycling"}
        for at, shown in zip(times, reversed(degrees), strict=True)
    ]
    return {"source": "recorder", "unit_of_measure": "degC", "readings": rows}


def codes_of(dock: Dock) -> list[str]:
    dock.now = clock.now()
    return [row["code"] for row in dock.ask(load="L-1").reasons]


def test_load_warm_for_too_long__from_the_recorder_to_the_disposition(dock: Dock) -> None:
    sol, cal, vera = acting_as("sol"), acting_as("cal"), acting_as("vera")
    CoolingReading.objects.all().delete()  # of the walk that made the dock ready
    dock.put(dock.load(), at=NOON - 1.5 * HOUR)
    told = sol.post(READINGS, celsius("-18.0", "-17.0", "-17.5", "-18.5")).json()
    assert (told["taken"], told["flagged"]) == (4, 0)
    assert cal.get("loads-at-risk").json()["results"] == []
    learn_from_readings(now=NOON)
    [row] = cal.get("loads-at-risk", open="true", load="L-1").json()["results"]
    assert (row["cause"], row["says"]) == ("air_outside_range", "Air outside its range for 90 minutes")
    assert (row["defect"], row["setpoint_f"], row["opened_at"]) == (None, "-10.0", "2026-03-06T16:30:00Z")
    assert cal.get("loads/L-1").json()["temperature"]["longest_min"] == 90
    assert "load_outside_range" in codes_of(dock)
    notice = cal.get("notices").json()["results"][0]
    assert notice["text"].startswith("Load L-1 on LR-46 is at risk: Air outside its range for 90 minutes.")
    path = f"loads-at-risk/{row['id']}"
    assert cal.post(f"{path}/entries", {"kind": "decision", "text": "go on, probe there"}).status_code == 201
    assert "load_outside_range" not in codes_of(dock)
    signature = {"method": "drawn", "signed_at": NOON.isoformat(), "shown": "I decide over this food."}
    body = {"disposition": "core at -8 °F, accepted", "signature": signature}
    assert vera.post(f"{path}/dispose", body, if_match='"2"').json()["state"] == "closed"
