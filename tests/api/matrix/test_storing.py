"""What a device may keep of the answers: every address of the API is on one of two lists, and is answered so."""

import pytest
from django.conf import settings

from common.api.storing import IF_ASKED_AGAIN, NEVER, storing
from fleet.enums import Role, UnitKind
from tests.factories.fleet import make_carrier, make_unit
from tests.support.acting import acting_as
from tests.support.routes import PREFIX, operations

MAY_BE_KEPT = """
    carrier clearances cooling-units couplings defects holds limited-moves loads loads-at-risk
    meter-readings mountings outside-repairs points policies refusals repair-orders repair-tasks reports
    roadside-inspections sites tractors trailers units walk walkarounds whereabouts yard yard-moves
"""
"""First parts of addresses about vehicles, faults, loads and work: kept, and shown when the ETag still holds."""

WITHIN = {"units/{ref}/file", "units/{ref}/history"}
"""Addresses under those of vehicles that name people."""


def test_every_address__is_on_one_list() -> None:
    kept, named = set(MAY_BE_KEPT.split()), {operation.route.partition("/")[0] for operation in operations()}
    assert kept | (settings.API_NEVER_STORED & named) == named
    assert kept.isdisjoint(settings.API_NEVER_STORED)


def test_every_address__is_answered_as_its_list_says() -> None:
    wrong = [
        operation.name
        for operation in operations()
        if storing(f"/{PREFIX}{operation.path}")
        != (IF_ASKED_AGAIN if _may_be_kept(operation.name.partition(" ")[2][1:]) else NEVER)
    ]
    assert wrong == []


def _may_be_kept(place: str) -> bool:
    return place.partition("/")[0] in MAY_BE_KEPT.split() and place not in WITHIN


@pytest.mark.django_db
def test_answers__say_so_whatever_they_are() -> None:
    make_carrier()
    unit = make_unit(UnitKind.TRACTOR)
    desk = acting_as(Role.ADMINISTRATOR, Role.COMPLIANCE)
    assert desk.get(f"tractors/{unit.number}").headers["Cache-Control"] == IF_ASKED_AGAIN
    for path, status in (("people", 200), ("me", 200), ("documents/none", 404), ("exports/people.csv", 200)):
        answer = desk.get(path)
        assert (answer.status_code, answer.headers["Cache-Control"]) == (status, NEVER), path
    edited = desk.get(f"people/{desk.get('me').json()['person']['id']}")
    assert (edited.headers["ETag"][:3], edited.headers["Cache-Control"]) == ('"1-', NEVER)
