"""Whatever a phone puts into a signed walk-around, it is kept or refused for a reason that is listed, and nothing that
reads it afterwards fails: its receipt, the yard, an answer to dispatch, every list, the unit's file, the jobs."""

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from common.ids import uuid7
from common.jobs import Run, jobs
from defects.models import Report, Walkaround
from tests.factories.fleet import NOON
from tests.support.acting import Device, acting_as
from tests.support.ninefold import person
from tests.support.walks import body, check, send, stroke

pytestmark = [pytest.mark.usefixtures("ninefold_at_noon"), pytest.mark.long]

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
REFUSALS = {
    (413, "body_too_large"),
    (400, "json_malformed"),
    (400, "json_duplicate_key"),
    (400, "json_too_deep"),
    (400, "json_number_unusable"),
    (403, "signed_by_another"),
    (422, "unsigned"),
}
WALK = body(
    [
        {
            "unit": "NL-15",
            "checks": [check("steering.free-play", "", value="2", unit_of_measure="in"), stroke("axle-1-left", "1.80")],
            "meters": [{"meter": "odometer_mi", "shown": "245300.4"}],
            "faults": [{"text": "pulls to the left", "place": "front", "unsafe": False, "photos": ["a" * 64]}],
        },
        {
            "unit": "LR-45",
            "checks": [
                check("lamps.trailer.turn", "left", "defect", note="out\nsince Tuesday", photos=["b" * 64]),
                check("approach.stance", "", "not_reached", reason="dark"),
                check(
                    "cargo.doors-and-seals",
                    "",
                    "corrected",
                    correction={"what": "shut it", "by": "Iris", "photo": "c" * 64},
                ),
            ],
        },
        {"unit": "CU-45", "checks": [check("cooling.fuel.level", "", value="30", unit_of_measure="gal")]},
        {"unit": "QX-1@Acme Foods"},
    ],
    finished_at=NOON - MINUTE,
    sent_at=NOON.isoformat(),
    coupled=True,
    site="north-yard",
    team_mate="sol",
    catalogue="d" * 64,
    conditions={"night": True, "raining": False, "loaded": True, "cold_load": True, "fuel_needed_gal": "40.5"},
    units_of_others=[{"kind": "trailer", "number": "QX-1", "owner": "Acme Foods", "plate": "7RQ", "plate_state": "WI"}],
)
WALK["signature"] |= {"device": "phone", "signer": "iris"}

ODD_TEXTS = [
    "",
    " ",
    "too_cold",
    "why",
    "{unit}",
    "%s",
    "\0",
    "\ud800",
    "a\a\nb",
    "é" * 3000,
    "x" * 21,
    "'; --",
    "{",
    "NaN",
]
ODD_NUMBERS = [0, -1, 2.31, 1e300, -0.0, 2**70, 10**39, True, False]
ODD_INSTANTS = [
    "0001-01-01T00:00:00Z",
    "0001-01-01T00:00:00+14:00",
    "0001-01-01T00:00:00",
    "9999-12-31T23:59:59.999999999Z",
    "9999-12-31T23:59:59-14:00",
    "1899-12-31T23:59:59Z",
    "2026-03-06T17:00:00",
    "2026-03-06t17:00:00.123456789z",
    "2026-03-06T17:59:60+23:59",
    "2026-02-30T00:00:00Z",
    "2026-03-06",
]
ODD: list[Any] = [None, [], {}, [None], {"a": {"b": ["c"]}}, [[["x"]]], *ODD_TEXTS, *ODD_NUMBERS, *ODD_INSTANTS]
LITERALS = ["NaN", "1e400", "9" * 5000, '{"a":1,"a":2}', "[" * 40 + "]" * 40, '"' + "\\u0000" * 3 + '"', "-0"]


def places(value: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in a JSON value below the whole."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*at, key)
        yield from places(item, (*at, key))


def change(walk: dict[str, Any], at: tuple[Any, ...], how: str, to: Any) -> None:
    """One change in place; a place that an earlier change took away is left alone."""
    parent: Any = walk
    for step in at[:-1]:
        if not isinstance(parent, dict | list) or (isinstance(parent, dict) and step not in parent):
            return
        if isinstance(parent, list) and not (isinstance(step, int) and step < len(parent)):
            return
        parent = parent[step]
    last = at[-1]
    there = (
        last in parent
        if isinstance(parent, dict)
        else isinstance(parent, list) and isinstance(last, int) and last < len(parent)
    )
    if not there:
        return
    if how == "replace":
        parent[last] = to
    elif how == "drop":
        del parent[last]
    elif how == "more" and isinstance(parent[last], list):
        parent[last] = (parent[last] + [to]) * (9 if len(at) % 2 else 401)
    elif how == "add" and isinstance(parent[last], dict):
        parent[last][str(to)[:50]] = to


EVERYWHERE = list(places(WALK))
HOW = ["replace", "replace", "replace", "drop", "more", "add"]

Change = tuple[int, str, int]
"""The number of a place, what is done there, and the number of an odd value."""

changes = st.tuples(st.integers(0, len(EVERYWHERE) - 1), st.sampled_from(HOW), st.integers(0, len(ODD) - 1))
bodies = st.tuples(st.lists(changes, min_size=1, max_size=4), st.none() | st.integers(0, len(LITERALS) - 1))


def text_of(made: list[Change], literal: int | None) -> bytes:
    """The signed walk-around with some changes, as JSON text, some literal in it that Python would not write."""
    walk = json.loads(json.dumps(WALK))
    for place, how, to in made:
        change(walk, EVERYWHERE[place], how, ODD[to])
    text = json.dumps(walk)
    return (text if literal is None else text.replace('"Iris"', LITERALS[literal], 1)).encode()


Reads = Callable[[], None]


def readers() -> Reads:
    """Everything that reads what was kept, as those who read it; an error of the service is raised."""
    iris, cal, hob, compliance = (acting_as(name) for name in ("iris", "cal", "hob", "vera"))

    def ok(device: Device, address: str, **query: str) -> None:
        answer = device.get(address, **query)
        assert answer.status_code == 200, (address, answer.content)
        assert answer.getvalue()

    def read() -> None:
        ok(cal, "yard")
        trip = {
            "units": ["NL-15", "LR-45"],
            "departure": (NOON + MINUTE).isoformat(),
            "arrival": (NOON + 6 * HOUR).isoformat(),
            "driver": str(person("iris").pk),
        }
        asked = cal.post("clearances", trip)
        assert asked.status_code == 201, asked.content
        for name in ("reports", "defects", "holds", "repair-orders", "meter-readings"):
            ok(hob, name)
        ok(iris, "driver-reviews/pending", unit="LR-45")
        ok(iris, "walk", tractor="NL-15", trailer="LR-45")
        for unit in ("NL-15", "LR-45", "CU-45"):
            ok(compliance, f"units/{unit}/file")
            ok(hob, f"units/{unit}/history")
        for report in hob.get("reports").json()["results"]:
            ok(hob, f"reports/{report['id']}")
        for job in jobs():
            if job.name not in {"write_history_digest", "purge_requests", "deliver_notifications"}:
                job.run(Run(lambda: NOON + MINUTE))

    return read


def taken_or_refused(phone: Device, text: bytes) -> None:
    """Handed in twice and read again; refused only as listed, and then nothing is kept."""
    key = uuid7()
    answer = send(phone, text, key)
    if answer.status_code != 201:
        assert (answer.status_code, answer.json()["code"]) in REFUSALS, answer.content
        assert not Walkaround.objects.filter(pk=key).exists()
        return
    again = send(phone, text, key)
    assert (again.status_code, again.json()["id"], again.json()["flags"]) == (200, str(key), answer.json()["flags"])
    assert phone.get(f"walkarounds/{key}").json() == again.json()


SLOW = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large]
SHORT = settings(
    max_examples=2, deadline=None, derandomize=True, phases=[Phase.explicit, Phase.generate], suppress_health_check=SLOW
)
LONG = settings(max_examples=60, deadline=None, suppress_health_check=SLOW)


@given(several=st.lists(bodies, min_size=8, max_size=8))
def check_any_body(phone: Device, read: Reads, several: list[tuple[list[Change], int | None]]) -> None:
    with transaction.atomic():
        for made, literal in several:
            taken_or_refused(phone, text_of(made, literal))
        read()
        transaction.set_rollback(True)


@pytest.mark.timeout(240)
def test_any_signed_walkaround__is_kept_or_refused_as_listed_and_readable() -> None:
    SHORT(check_any_body)(acting_as("iris"), readers())


@pytest.mark.drill
@pytest.mark.timeout(1200)
def test_anything_in_a_signed_walkaround__at_length() -> None:
    LONG(check_any_body)(acting_as("iris"), readers())


@pytest.mark.timeout(120)
def test_word_that_nobody_knows_as_a_reason__said_as_it_stands() -> None:
    words = ("too_cold", "too_lazy", "SEALED!!", "{unit}")
    for word in words:
        lamp = check("approach.stance", "", "not_reached", reason=word)
        walk = body([{"unit": "LR-45", "checks": [lamp]}], finished_at=NOON)
        taken_or_refused(acting_as("iris"), json.dumps(walk).encode())
        (row,) = acting_as("cal").get("yard", unit="LR-45").json()["results"]
        assert "no_answer_recorded" in [item["code"] for item in row["reasons"]], row
    readers()()
    reports = Report.objects.filter(unit__number="LR-45")
    assert len(reports) == len(words)
    open_still = {"point": "approach.stance", "place": "", "why": "flagged", "required": True}
    assert all(open_still in report.left_open for report in reports)


@pytest.mark.timeout(120)
def test_signed_at_the_zero_date__its_units_file_can_be_read() -> None:
    walk = body([{"unit": "LR-45"}], finished_at=NOON)
    walk["signature"]["signed_at"] = "0001-01-01T00:00:00Z"
    taken_or_refused(acting_as("iris"), json.dumps(walk).encode())
    readers()()
