"""Fuel that is gone beyond what engine hours explain: told once, with its figures, to the site and to dispatch."""

from decimal import Decimal

import pytest

from fleet.enums import Role, UnitKind
from fleet.models import CoolingForecast, Notification, Unit
from fleet.services.cooling.learning import learn_from_readings
from tests.factories.fleet import (
    HOUR,
    NOON,
    CoolingReadingFactory,
    give_role,
    history_of,
    make_carrier,
    make_person,
    make_site,
    make_unit,
)

pytestmark = pytest.mark.django_db

FILLS = ("7.6", "8.3", "8.0", "8.4", "7.7", "8.0")
"""Gallons after each ten engine hours: 0.8 an hour, give or take a tenth in the root of an hour."""


@pytest.fixture
def unit() -> Unit:
    make_carrier()
    site = make_site()
    for name, role, at in (
        ("Hob Anselm", Role.FOREMAN, site),
        ("Ida Fell", Role.FOREMAN, make_site("South Yard")),
        ("Cal Wick", Role.DISPATCH, None),
    ):
        give_role(make_person(name), role, at)
    made = make_unit(UnitKind.COOLING_UNIT, "CU-41", home_site_id=site.pk)
    for fill, added in enumerate(("0.0", *FILLS)):
        read(made, 100 - 10 * fill, 4000 + 10 * fill, "50.0", fuel_added_gal=Decimal(added))
    return made


def read(unit: Unit, hours_ago: float, engine_h: int, gallons: str, **more: Decimal) -> None:
    at = NOON - hours_ago * HOUR
    said = {"engine_h": engine_h, "fuel_gal": Decimal(gallons), **more}
    CoolingReadingFactory.create(unit=unit, read_at=at, recorded_at=at, **said)


def told() -> list[str]:
    return sorted(each.person.name for each in Notification.objects.filter(kind="fuel_lost"))


def test_fuel_gone_beyond_its_hours__is_told_once_with_its_figures(unit: Unit) -> None:
    read(unit, 30, 4062, "20.0")
    learn_from_readings(now=NOON)
    assert told() == ["Cal Wick", "Hob Anselm"]
    facts = Notification.objects.filter(kind="fuel_lost")[0].facts
    row = CoolingForecast.objects.get()
    assert (facts["gone_gal"], facts["engine_h"], row.lost_gone_gal) == ("30.0", "2.0", Decimal(30))
    # Two hours burn 1.6 gallons, and a little more at most; the gauge may be off by two.
    assert 3.6 < float(facts["explained_gal"]) < 4.4
    assert float(facts["lost_gal"]) + float(facts["explained_gal"]) == pytest.approx(30, abs=0.1)
    assert history_of(unit)[-1] == "fuel_lost"
    read(unit, 20, 4063, "19.0")
    learn_from_readings(now=NOON)
    assert (len(told()), history_of(unit).count("fuel_lost")) == (2, 1)
    read(unit, 10, 4064, "2.0")
    learn_from_readings(now=NOON)
    assert (len(told()), history_of(unit).count("fuel_lost")) == (4, 2)


@pytest.mark.parametrize(("gallons", "told_of"), [("46.5", False), ("45.0", True)])
def test_what_hours_and_the_gauge_explain__is_not_told(unit: Unit, gallons: str, told_of: bool) -> None:
    read(unit, 30, 4062, gallons)
    learn_from_readings(now=NOON)
    assert bool(told()) is told_of


def test_fuel_gone_long_ago__is_learned_and_not_told(unit: Unit) -> None:
    read(unit, 30, 4062, "20.0")
    learn_from_readings(now=NOON + 50 * HOUR)
    assert (CoolingForecast.objects.get().lost_gone_gal, told()) == (Decimal(30), [])
