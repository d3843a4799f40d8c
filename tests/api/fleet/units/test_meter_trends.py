"""The meters of a unit over HTTP: what each runs in a day, and hours that its miles do not explain."""

import datetime as dt

import pytest

from fleet.enums import MeterKind, Role, UnitKind
from tests.factories.fleet import NOON, make_reading, make_unit
from tests.support.acting import acting_as


@pytest.mark.usefixtures("carrier")
def test_hours_that_miles_do_not_explain__are_flagged() -> None:
    tractor = make_unit(UnitKind.TRACTOR, "NL-11")
    for day in range(5):
        at = NOON - dt.timedelta(days=5 - day)
        make_reading(tractor, str(100_000 + 100 * day), read_at=at)
        make_reading(tractor, str(8_000 + 12 * day), meter=MeterKind.ENGINE_H, read_at=at)
    body = acting_as(Role.FOREMAN).get("units/NL-11/meter-trends").json()
    assert [(row["meter"], row["per_day"], row["total"], row["readings"]) for row in body["meters"]] == [
        ("engine_h", "12.0", "8048.0", 5),
        ("odometer_mi", "100.0", "100400.0", 5),
    ]
    assert body["flag"] == "too_many_hours"
    assert body["says"] == "More engine hours than its miles explain: it idles, or a meter errs."


@pytest.mark.usefixtures("carrier")
def test_one_reading__has_no_trend() -> None:
    tractor = make_unit(UnitKind.TRACTOR, "NL-11")
    make_reading(tractor, "100000")
    body = acting_as(Role.FOREMAN).get("units/NL-11/meter-trends").json()
    assert (body["meters"][0]["per_day"], body["flag"], body["says"]) == (None, "", "")
