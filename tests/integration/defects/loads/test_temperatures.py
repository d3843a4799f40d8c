"""Readings of the cooling unit under a load: how it kept to its range, and what dispatch is answered."""

import datetime as dt
from decimal import Decimal

import pytest

from defects.models import LoadTemperature
from fleet.enums import ReadingSource
from fleet.rules.cooling.readings import Figures
from fleet.services.cooling.readings import record_cooling_readings
from tests.support.dock import Dock, codes

pytestmark = pytest.mark.django_db


def warm(dock: Dock, *degrees: str) -> None:
    """Return air every half an hour, up to now."""
    later = [dock.later() for _ in range(200)][-1]
    given = [
        Figures(at=later - dt.timedelta(minutes=30) * back, return_air_f=Decimal(value))
        for back, value in enumerate(reversed(degrees))
    ]
    record_cooling_readings(
        unit_id=dock.cooling_unit.pk, given=given, source=ReadingSource.RECORDER, actor=dock["sol"], now=dock.now
    )


def test_load_that_was_warm_too_long__is_measured_and_a_step_until_it_is_decided(dock: Dock) -> None:
    load = dock.put(dock.load())
    warm(dock, "0", "0", "0", "0")
    row = LoadTemperature.objects.get(load=load)
    assert (row.longest_min, row.degree_min, row.known_min) == (90, 450, 90)
    assert codes(dock.ask(load="L-1")) == ["load_outside_range"]


def test_load_that_kept_to_its_range__is_no_step(dock: Dock) -> None:
    load = dock.put(dock.load())
    warm(dock, "-9", "-3", "-9", "-10")
    assert LoadTemperature.objects.get(load=load).longest_min <= 60
    assert "load_outside_range" not in codes(dock.ask(load="L-1"))


def test_dry_load_and_none__are_not_measured(dock: Dock) -> None:
    warm(dock, "50")
    dock.put(dock.load("D-1", "dry"))
    warm(dock, "60")
    assert not LoadTemperature.objects.exists()
