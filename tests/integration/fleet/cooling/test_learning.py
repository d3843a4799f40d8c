"""The job that learns from readings: of each unit once, whatever arrives meanwhile, and one failure stops no other."""

from decimal import Decimal

import pytest

from fleet.enums import UnitKind
from fleet.models import CoolingForecast, CoolingReading, SkippedRecord, Unit
from fleet.services.cooling import learning
from fleet.services.cooling.learning import learn_from_readings
from tests.factories.fleet import HOUR, NOON, CoolingReadingFactory, make_carrier, make_unit

pytestmark = pytest.mark.django_db


@pytest.fixture
def units() -> list[Unit]:
    make_carrier()
    return [make_unit(UnitKind.COOLING_UNIT, f"CU-4{number}") for number in (1, 2)]


def read(unit: Unit, gallons: int, *, hours_ago: int = 1) -> CoolingReading:
    at = NOON - hours_ago * HOUR
    return CoolingReadingFactory.create(unit=unit, read_at=at, recorded_at=at, fuel_gal=Decimal(gallons))


def test_unit_with_new_readings__is_learned_of_once(units: list[Unit]) -> None:
    read(units[0], 30)
    assert [learn_from_readings(now=NOON) for _ in range(2)] == [1, 0]
    read(units[0], 40, hours_ago=3)
    assert learn_from_readings(now=NOON) == 1
    found = CoolingForecast.objects.get()
    assert (found.unit, found.readings, found.fuel_gal) == (units[0], 2, Decimal(30))
    assert not CoolingReading.objects.filter(is_learned=False).exists()


def test_reading_recorded_after_the_jobs_clock__counts_as_of_its_record(units: list[Unit]) -> None:
    read(units[0], 30, hours_ago=-2)
    assert learn_from_readings(now=NOON) == 1
    assert CoolingForecast.objects.get().computed_at == NOON + 2 * HOUR


def test_reading_that_arrives_meanwhile__is_left_for_the_next_run(
    units: list[Unit], monkeypatch: pytest.MonkeyPatch
) -> None:
    read(units[0], 30)
    update = learning._update_forecast
    late = []

    def slowly(*given: object, **named: object) -> CoolingForecast:
        learned = update(*given, **named)  # type: ignore[arg-type]
        late.append(read(units[0], 20, hours_ago=0))
        return learned

    monkeypatch.setattr(learning, "_update_forecast", slowly)
    learn_from_readings(now=NOON - HOUR / 2)
    assert list(CoolingReading.objects.filter(is_learned=False)) == late


def test_unit_that_nothing_can_be_learned_of__is_passed_over_and_stays_to_be_learned(
    units: list[Unit], monkeypatch: pytest.MonkeyPatch
) -> None:
    odd = read(units[0], 30)
    read(units[1], 30)
    update = learning._update_forecast
    monkeypatch.setattr(
        learning, "_update_forecast", lambda unit, now: update(unit, now=now) if unit == units[1].pk else 1 / 0
    )
    assert learn_from_readings(now=NOON) == 1
    assert list(CoolingReading.objects.filter(is_learned=False)) == [odd]
    assert SkippedRecord.objects.get().subject == units[0].pk
