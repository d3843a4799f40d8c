import datetime as dt

import pytest

from fleet.enums import Role, RowOutcome, UnitKind
from fleet.models import HistoryEntry, Mounting, Person, PersonRole
from fleet.services.imports.run import Table
from tests.factories.fleet import NOON, TODAY, make_person, make_site, make_unit
from tests.support.contents import contents
from tests.support.tables import outcomes, problems, take_in

pytestmark = pytest.mark.django_db

CREATED, UNCHANGED, REFUSED = RowOutcome.CREATED, RowOutcome.UNCHANGED, RowOutcome.REFUSED
DAY = dt.timedelta(days=1)
SINCE = "2026-03-02T06:10:00-06:00"


@pytest.fixture
def admin() -> Person:
    return make_person("Ola Finch", Role.ADMINISTRATOR, username="ola")


def role(person: str, name: str, *, site: str = "", starts_on: object = "", ends_on: object = "") -> dict[str, object]:
    return {"person": person, "role": name, "site": site, "starts_on": starts_on, "ends_on": ends_on}


def test_roles__given_from_today_or_a_later_day_at_a_site_or_everywhere(admin: Person) -> None:
    site = make_site()
    tomo = make_person("Tomo Vell", username="tomo")
    rita = make_person("Rita Sand", firm="Crookspoke")
    rows = [
        role("TOMO", "driver"),
        role("tomo", "foreman", site=site.code, starts_on=TODAY + DAY, ends_on=TODAY + 9 * DAY),
        role("Rita Sand (Crookspoke)", "mechanic"),
    ]
    assert outcomes(take_in(Table.ROLES, rows, admin)) == {2: CREATED, 3: CREATED, 4: CREATED}
    given = PersonRole.objects.filter(granted_by=admin, granted_at=NOON).order_by("pk")
    assert list(given.values_list("person", "role", "site", "starts_on", "ends_on", "console_reason")) == [
        (tomo.pk, "driver", None, TODAY, None, ""),
        (tomo.pk, "foreman", site.pk, TODAY + DAY, TODAY + 9 * DAY, ""),
        (rita.pk, "mechanic", None, TODAY, None, ""),
    ]
    before = contents()
    assert outcomes(take_in(Table.ROLES, rows, admin)) == {2: UNCHANGED, 3: UNCHANGED, 4: UNCHANGED}
    assert contents() == before


def test_roles__refused_as_single_ones_are(admin: Person) -> None:
    site = make_site()
    make_person("Tomo Vell", Role.DRIVER, username="tomo")
    make_person("Gone", username="gone", left_on=TODAY)
    make_person("Rita Sand")
    make_person("Rita Sand")
    rows = [
        role("tomo", "driver", ends_on=TODAY + DAY),
        role("tomo", "administrator", site=site.code),
        role("tomo", "foreman", starts_on=TODAY - DAY),
        role("tomo", "dispatch", ends_on=TODAY - DAY),
        role("tomo", "auditor", site="nowhere"),
        role("tomo", "emperor"),
        role("ola", "foreman"),
        role("gone", "driver"),
        role("Rita Sand", "driver"),
        role("tomo", "mechanic"),
        role("tomo", "mechanic"),
    ]
    assert problems(take_in(Table.ROLES, rows, admin)) == {
        2: [("", "role_already_held")],
        3: [("site", "administrator_at_one_site")],
        4: [("starts_on", "role_backdated")],
        5: [("ends_on", "end_before_beginning")],
        6: [("site", "site_unknown")],
        7: [("role", "cell_not_among_choices")],
        8: [("", "grants_oneself")],
        9: [("person", "person_unknown")],
        10: [("person", "person_ambiguous")],
        12: [("", "row_twice")],
    }
    assert list(PersonRole.objects.filter(granted_by=admin).values_list("role", flat=True)) == ["mechanic"]


def test_roles__are_given_by_administrators_alone() -> None:
    make_person("Tomo Vell", username="tomo")
    report = take_in(Table.ROLES, [role("tomo", "driver")], make_person("Vera Holt", Role.COMPLIANCE))
    assert outcomes(report) == {2: REFUSED}
    assert not PersonRole.objects.filter(person__username="tomo").exists()


@pytest.fixture
def hob() -> Person:
    for number in ("LR-41", "LR-42", "LR-43"):
        make_unit(UnitKind.TRAILER, number)
    for number in ("CU-41", "CU-42", "CU-43"):
        make_unit(UnitKind.COOLING_UNIT, number)
    make_unit(number="NL-11")
    return make_person("Hob Anselm", Role.FOREMAN)


def row(trailer: str, cooling_unit: str, since: str = SINCE) -> dict[str, str]:
    return {"trailer": trailer, "cooling_unit": cooling_unit, "started_at": since}


def test_mountings__recorded_once_in_the_histories_of_both_units(hob: Person) -> None:
    rows = [row("LR-41", "CU-41"), row("LR-42", "CU-42")]
    assert outcomes(take_in(Table.MOUNTINGS, rows, hob)) == {2: CREATED, 3: CREATED}
    found = Mounting.objects.order_by("trailer__unit__number")
    assert [(str(each.trailer.unit), str(each.cooling_unit.unit), each.recorded_by) for each in found] == [
        ("LR-41", "CU-41", hob),
        ("LR-42", "CU-42", hob),
    ]
    assert {each.span.lower for each in found} == {dt.datetime.fromisoformat(SINCE)}
    told = HistoryEntry.objects.filter(kind="mounted").values_list("unit__number", flat=True)
    assert sorted(told) == ["CU-41", "CU-42", "LR-41", "LR-42"]
    before = contents()
    assert outcomes(take_in(Table.MOUNTINGS, rows, hob)) == {2: UNCHANGED, 3: UNCHANGED}
    assert contents() == before


def test_mountings__refused_as_single_ones_are(hob: Person) -> None:
    make_unit(UnitKind.TRAILER, "LR-40", retired_on=TODAY)
    take_in(Table.MOUNTINGS, [row("LR-41", "CU-41")], hob)
    rows = [
        row("LR-41", "CU-42"),
        row("LR-42", "CU-41"),
        row("NL-11", "CU-42"),
        row("LR-42", "LR-43"),
        row("LR-99", "CU-42"),
        row("LR-42", "CU-42", "2026-12-01T06:10:00-06:00"),
        row("LR-43", "CU-43"),
        row("LR-43", "CU-42"),
        row("LR-42", "CU-43"),
    ]
    assert problems(take_in(Table.MOUNTINGS, rows, hob)) == {
        2: [("", "already_mounted")],
        3: [("", "already_mounted")],
        4: [("trailer", "not_a_trailer")],
        5: [("cooling_unit", "not_a_cooling_unit")],
        6: [("trailer", "unit_unknown")],
        7: [("started_at", "instant_in_future")],
        9: [("", "row_twice")],
        10: [("", "row_twice")],
    }
    otherwise = [row("LR-41", "CU-41", "2026-03-03T06:10:00-06:00")]
    assert problems(take_in(Table.MOUNTINGS, otherwise, hob)) == {2: [("", "already_mounted")]}
    assert Mounting.objects.count() == 2


def test_mounting_that_has_ended__leaves_its_units_free_from_then_on(hob: Person) -> None:
    take_in(Table.MOUNTINGS, [row("LR-41", "CU-41")], hob)
    mounting = Mounting.objects.get()
    mounting.span = type(mounting.span)(mounting.span.lower, mounting.span.lower + DAY)
    mounting.save()
    early = [row("LR-41", "CU-42", "2026-03-03T06:00:00-06:00")]
    assert problems(take_in(Table.MOUNTINGS, early, hob)) == {2: [("", "already_mounted")]}
    later = [row("LR-41", "CU-42", "2026-03-03T06:10:00-06:00")]
    assert outcomes(take_in(Table.MOUNTINGS, later, hob)) == {2: CREATED}
