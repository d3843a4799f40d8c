"""Readings of the cooling unit under a load: how it kept to its range, and what dispatch is answered."""

import datetime as dt
from decimal import Decimal

import pytest

from defects.enums import RiskEntryKind
from defects.models import LoadAtRisk, LoadTemperature
from defects.services.loads.loads_at_risk import Note, enter
from fleet.enums import ReadingSource
from fleet.models import Notification
from fleet.rules.cooling.readings import Figures
from fleet.services.cooling.intake import record_cooling_readings
from fleet.services.cooling.learning import learn_from_readings
from tests.factories.fleet import PolicyFactory, history_of
from tests.support.dock import Dock, codes

pytestmark = pytest.mark.django_db


def warm(dock: Dock, *degrees: str) -> None:
    """Return air every half an hour, up to now."""
    later = [dock.later() for _ in range(200)][-1]
    read(dock, *((later - dt.timedelta(minutes=30) * back, value) for back, value in enumerate(reversed(degrees))))


def read(dock: Dock, *air: tuple[dt.datetime, str]) -> None:
    """Return air by instants, as a recorder tells it."""
    given = [Figures(at=at, return_air_f=Decimal(value)) for at, value in air]
    dock.now = max(dock.now, *(at for at, _ in air), dock.now)
    record_cooling_readings(
        unit_id=dock.cooling_unit.pk, given=given, source=ReadingSource.RECORDER, actor=dock["sol"], now=dock.now
    )
    learn_from_readings(now=dock.now)


def test_load_that_was_warm_too_long__is_at_risk_and_a_step_until_it_is_decided(dock: Dock) -> None:
    load = dock.put(dock.load())
    warm(dock, "0", "0", "0", "0")
    row = LoadTemperature.objects.get(load=load)
    assert (row.longest_min, row.degree_min, row.known_min) == (90, 450, 90)
    risk = LoadAtRisk.objects.get()
    assert (risk.load, risk.trailer, risk.defect, risk.cause, risk.facts) == (
        load,
        dock.trailer,
        None,
        "air_outside_range",
        {"minutes": 90},
    )
    assert (risk.opened_at, risk.opened_by) == (dock.now - dt.timedelta(minutes=90), dock["sol"])
    assert history_of(dock.trailer)[-1] == "load_out_of_range"
    assert codes(dock.ask(load="L-1")) == ["load_outside_range"]
    decide(dock, risk)
    assert codes(dock.ask(load="L-1")) == []


def told() -> int:
    """How many notifications of a load at risk there are."""
    return Notification.objects.filter(kind="load_at_risk").count()


def decide(dock: Dock, risk: LoadAtRisk) -> None:
    note = Note(RiskEntryKind.DECISION, dock.later(), "go on")
    enter(risk_id=risk.pk, note=note, actor=dock["cal"], now=dock.now)


def test_same_time_outside__is_told_once_however_it_goes_on(dock: Dock) -> None:
    dock.put(dock.load())
    warm(dock, "0", "0", "0", "0")
    first = told()
    decide(dock, LoadAtRisk.objects.get())
    read(dock, (dock.now, "1"))
    read(dock, (dock.now + dt.timedelta(minutes=30), "2"))
    assert (told(), first, LoadAtRisk.objects.get().facts) == (first, 3, {"minutes": 90})
    assert codes(dock.ask(load="L-1")) == []


def test_another_time_outside__asks_anew_and_is_told_again(dock: Dock) -> None:
    dock.put(dock.load())
    warm(dock, "0", "0", "0", "0")
    decide(dock, LoadAtRisk.objects.get())
    warm(dock, "-10", "0", "0", "0", "0", "0")
    assert (told(), LoadAtRisk.objects.get().facts) == (6, {"minutes": 135})
    assert codes(dock.ask(load="L-1")) == ["load_outside_range"]


@pytest.mark.parametrize(("minutes", "at_risk"), [(120, 0), (30, 1)])
def test_carrier_decides_how_long_it_may_be(dock: Dock, minutes: int, at_risk: int) -> None:
    dock.put(dock.load())
    PolicyFactory.create(key="outside_range_min", value=minutes)
    warm(dock, *(("0",) * (4 if minutes > 60 else 3)))
    assert LoadAtRisk.objects.count() == at_risk


def test_air_under_a_load_at_risk_by_a_fault__joins_its_record(dock: Dock) -> None:
    risk = dock.at_risk()
    warm(dock, "0", "0", "0", "0")
    joined = LoadAtRisk.objects.get()
    assert (joined.pk, joined.defect, joined.cause) == (risk.pk, risk.defect, "air_outside_range")


def test_load_that_kept_to_its_range__is_no_step(dock: Dock) -> None:
    load = dock.put(dock.load())
    warm(dock, "-9", "-3", "-9", "-10")
    assert LoadTemperature.objects.get(load=load).longest_min <= 60
    assert not LoadAtRisk.objects.exists()
    assert "load_outside_range" not in codes(dock.ask(load="L-1"))


def test_dry_load_and_none__are_not_measured(dock: Dock) -> None:
    warm(dock, "50")
    dock.put(dock.load("D-1", "dry"))
    warm(dock, "60")
    assert not LoadTemperature.objects.exists()
