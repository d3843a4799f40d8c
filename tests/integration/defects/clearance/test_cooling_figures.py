"""What a clearance takes of a cooling unit before and after the job has learned from its newest readings."""

import datetime as dt
from decimal import Decimal

import pytest

from defects.rules.clearance.unit_facts import AirFact, FuelFact
from defects.selectors.clearance.context import context_of
from defects.selectors.clearance.snapshot import TripRequest, fact_rows
from defects.selectors.clearance.units import gather
from fleet.models import CoolingForecast, CoolingReading
from fleet.rules.cooling.fuel import Burn
from fleet.services.cooling.learning import learn_from_readings
from tests.factories.fleet import CoolingForecastFactory, CoolingReadingFactory
from tests.support.dock import Dock
from tests.support.submissions import answer_to

pytestmark = pytest.mark.django_db


def figures(dock: Dock) -> tuple[FuelFact | None, AirFact | None]:
    rows = fact_rows([dock.cooling_unit.pk], as_of=dock.now, requested=TripRequest())
    [facts] = context_of(gather(rows)).units([dock.cooling_unit])
    return facts.fuel, facts.air


def read(dock: Dock, at: dt.datetime, **said: str) -> None:
    given = {name: Decimal(value) for name, value in said.items()}
    CoolingReadingFactory.create(unit=dock.cooling_unit, read_at=at, recorded_at=at, **given)


def test_newest_fuel_and_air__count_at_once_and_what_was_learned_says_until_when(dock: Dock) -> None:
    CoolingReading.objects.all().delete()
    newest, earlier, since = (dock.later() for _ in range(3))
    CoolingForecastFactory.create(
        unit=dock.cooling_unit,
        newest_at=newest,
        fuel_gal=40,
        fuel_at=newest,
        air_f=20,
        air_at=since,
        burn_gal_per_h=Decimal("0.8"),
        burn_spread=Decimal("0.3"),
        burn_h=50,
        burn_stretches=6,
    )
    read(dock, earlier, fuel_gal="35", return_air_f="30")
    read(dock, since, fuel_gal="31.5")
    fuel, air = figures(dock)
    assert fuel is not None
    assert (fuel.at, fuel.level_gal, fuel.learned, fuel.learned_until) == (
        since,
        Decimal("31.5"),
        Burn(0.8, 0.3, 50, 6),
        newest,
    )
    assert air == AirFact(since, Decimal(20))


def test_box_sensor__counts_before_the_return_air(dock: Dock) -> None:
    CoolingReading.objects.all().delete()
    at = dock.later()
    read(dock, at, return_air_f="30", box_f="28")
    assert figures(dock) == (None, AirFact(at, Decimal(28)))
    learn_from_readings(now=dock.now)
    assert figures(dock) == (None, AirFact(at, Decimal(28)))


@pytest.mark.parametrize(("days", "told"), [(3, True), (4, False)])
def test_fuel_gone_beyond_its_hours__is_said_on_the_answer_for_some_days(dock: Dock, days: int, told: bool) -> None:
    until = dock.now - dt.timedelta(days=days)
    lost = {"lost_gal": "26.2", "lost_gone_gal": 30, "lost_engine_h": 2, "lost_since": until, "lost_until": until}
    CoolingForecast.objects.all().delete()
    CoolingForecastFactory.create(unit=dock.cooling_unit, **lost)
    found = [row for row in dock.ask().left_open if row["code"] == "fuel_lost"]
    assert len(found) == told
    if told:
        facts = found[0]["facts"]
        named = ("lost_gal", "gone_gal", "explained_gal", "engine_h")
        assert tuple(facts[name] for name in named) == ("26.2", "30.0", "3.8", "2.0")


@pytest.mark.parametrize(("value", "found"), [("11.5", []), ("11.4", ["as-learned"]), ("7.9", ["at-least-8"])])
def test_return_minus_supply__is_compared_with_what_is_learned_of_the_unit(
    dock: Dock, value: str, found: list[str]
) -> None:
    CoolingForecast.objects.all().delete()
    CoolingForecastFactory.create(unit=dock.cooling_unit, air_drop_least_f=Decimal("11.5"))
    check = answer_to("cooling.return-minus-supply", "fine", value=value, unit_of_measure="degF")
    dock.hand_in((dock.cooling_unit, [check]))
    assert [defect.limit for defect in dock.cooling_unit.defects.all()] == found
