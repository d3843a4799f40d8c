"""A walk-around is stored whole or not at all, wherever it breaks; tried again under its name, it is taken in once."""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.dispatch import Signal

from common.ids import uuid7
from defects.models import Certificate, Defect, Walkaround
from defects.signals import defects_certified, defects_reported
from fleet.services.records.verification.verify import verify_history
from tests.factories.fleet import NOON
from tests.support.contents import contents, more_rows
from tests.support.walks import body, check, hand_in, stroke
from workorders.models import RepairOrder

pytestmark = [pytest.mark.usefixtures("ninefold_at_noon_committed"), pytest.mark.long]
MINUTE = timedelta(minutes=1)
WRITING = re.compile(r"\b(INSERT|UPDATE|DELETE)\b")
"""What breaks after a statement that only reads leaves what the one before it left."""


class Broken(Exception):
    """What the tests break things with; nothing in the service knows it."""


def everything() -> dict[str, Any]:
    """A walk-around with something for every step: a unit met, a take-over, meters, findings, words, a correction."""
    done = {"what": "lamp changed", "by": "Iris Quade", "photo": "a" * 64}
    reports: list[dict[str, Any]] = [
        {"unit": "NL-11", "meters": [{"meter": "odometer_mi", "shown": "1"}], "faults": [{"text": "knocks"}]},
        {
            "unit": "LR-45",
            "checks": [
                stroke("axle-1-left", "2.60"),
                check("lamps.trailer.turn", "left", "corrected", correction=done),
                check("tires.trailer.tread-depth", "axle-1-left-outer", value="8", unit_of_measure="32nds"),
                check("no.such.point"),
            ],
        },
        {"unit": "QX-9003@Acme", "checks": [check("tires.trailer.body", "axle-1-left-outer", "defect")]},
        {"unit": "ZZ-9"},
    ]
    met = [{"kind": "trailer", "number": "QX-9003", "owner": "Acme"}]
    return body(reports, finished_at=NOON, units_of_others=met, site="north-yard", team_mate="sol")


def together() -> dict[str, Any]:
    """The same of one combination, which takes LR-45 over from NL-15."""
    whole = everything()
    return {**whole, "coupled": True, "reports": whole["reports"][:2]}


@pytest.fixture(autouse=True)
def lamp_out(ninefold_at_noon_committed: object) -> Defect:
    """The defect that the correction ends; with it an order stands already."""
    hand_in(
        "sol",
        body([{"unit": "LR-45", "checks": [check("lamps.trailer.turn", "left", "defect")]}], finished_at=NOON - MINUTE),
    )
    return Defect.objects.get()


class BreaksAfter:
    """Lets so many writing statements through and raises after the next; counts what it saw."""

    def __init__(self, statements: int) -> None:
        self.left = statements
        self.seen = 0

    def __call__(self, execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        result = execute(sql, params, many, context)
        if WRITING.search(sql):
            self.seen += 1
            if self.seen > self.left:
                raise Broken(sql)
        return result


@pytest.mark.timeout(180)
@pytest.mark.parametrize("walk", [everything, together])
def test_broken_after_any_statement_that_writes__nothing_stored_and_a_repeat_stores_it_once(
    walk: Callable[[], dict[str, Any]],
) -> None:
    before, key, broken = contents(), uuid7(), 0
    while True:
        breaks = BreaksAfter(broken)
        try:
            with connection.execute_wrapper(breaks):
                receipt = hand_in("iris", walk(), key)
        except Broken:
            assert contents() == before, f"after statement {broken}"
            broken += 1
        else:
            break

    assert broken == breaks.seen
    assert broken > 20
    assert receipt.replayed is False
    assert Walkaround.objects.filter(pk=key).count() == 1
    assert len(receipt.certificates) == 1
    assert hand_in("iris", walk(), key).replayed


@contextmanager
def listening(signal: Signal, receiver: Callable[..., None]) -> Iterator[None]:
    signal.connect(receiver, weak=False)
    try:
        yield
    finally:
        assert signal.disconnect(receiver)


@pytest.mark.parametrize("signal", [defects_reported, defects_certified], ids=["reported", "certified"])
def test_whoever_listens_fails__nothing_is_there(signal: Signal) -> None:
    """An accepted report never loses its order: who listens fails the sender (`send`, never `send_robust`)."""
    before, heard = contents(), []

    def fails(**told: Any) -> None:
        heard.append(told)
        raise Broken

    with listening(signal, fails), pytest.raises(Broken):
        hand_in("iris", together())

    assert len(heard) == 1
    assert contents() == before


def test_whoever_listens__is_told_inside_the_transaction_with_rows_that_are_there() -> None:
    seen = []

    def looks(defects: list[Defect], **_: Any) -> None:
        seen.append((connection.in_atomic_block, Defect.objects.filter(pk__in=[d.pk for d in defects]).count()))

    with listening(defects_reported, looks):
        hand_in("iris", together())

    assert seen == [(True, 2)]


def test_every_step__leaves_its_rows_and_histories_that_hold() -> None:
    before = contents()

    hand_in("iris", everything())

    assert more_rows(before, contents()) == {
        "defects_walkaround": 1,
        "defects_report": 4,
        "defects_measurement": 2,
        "defects_defect": 3,
        "defects_sighting": 3,
        "defects_hold": 2,
        "defects_certificate": 1,
        "defects_certificate_worked_by": 1,
        "fleet_signature": 2,
        "fleet_unit": 1,
        "fleet_trailerdetails": 1,
        "fleet_unitchain": 1,
        "fleet_meterreading": 1,
        "fleet_notification": 7,
        "fleet_delivery": 3,
        "fleet_delivery_notifications": 7,
        "workorders_repairorder": 2,
        "workorders_repairtask": 3,
        "fleet_historyentry": 16,
        "fleet_historycontent": 16,
    }
    assert Certificate.objects.get().defect.state == "certified"
    assert RepairOrder.objects.filter(unit__number="LR-45").count() == 1
    assert list(verify_history()) == []
