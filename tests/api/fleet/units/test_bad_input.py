"""What a desk sends and cannot be: each line of it refused with its field and its rule, and not a row is different."""

from typing import Any

import pytest

from fleet.enums import Role, UnitKind
from tests.factories.fleet import make_carrier, make_coupling, make_document, make_reading, make_unit
from tests.support.acting import Device, acting_as, codes
from tests.support.contents import contents

pytestmark = pytest.mark.django_db
NOON = "2026-03-06T12:00:00-06:00"
READING = {"unit": "NL-11", "meter": "odometer_mi", "shown": "1001.0", "read_at": NOON}
PAPER = {"kind": "periodic_inspection", "unit": "LR-44", "starts_on": "2025-03-13", "program": "state"}
COUPLING = {"units": ["NL-11", "LR-44"], "started_at": NOON}


def without(body: dict[str, Any], name: str) -> dict[str, Any]:
    return {key: value for key, value in body.items() if key != name}


LINES = {
    "reading of a unit nobody knows": ("meter-readings", {**READING, "unit": "NL-99"}, "/unit", "unit_unknown"),
    "paper of a unit nobody knows": ("documents", {**PAPER, "unit": "LR-99"}, "/unit", "unit_unknown"),
    "coupling of a unit nobody knows": (
        "couplings",
        {**COUPLING, "units": ["NL-11", "LR-99"]},
        "/units/1",
        "unit_unknown",
    ),
    "value without what it is measured in": ("meter-readings", without(READING, "meter"), "/meter", "required"),
    "value in what nobody measures in": (
        "meter-readings",
        {**READING, "meter": "odometer"},
        "/meter",
        "invalid_choice",
    ),
    "falling meter": ("meter-readings", {**READING, "shown": "999.0"}, "/shown", "reading_falling"),
    "reading in time to come": (
        "meter-readings",
        {**READING, "read_at": "2026-03-06T12:00:01-06:00"},
        "/read_at",
        "instant_in_future",
    ),
    "paper from a day to come": ("documents", {**PAPER, "starts_on": "2026-03-07"}, "/starts_on", "date_in_future"),
    "coupling in time to come": (
        "couplings",
        {**COUPLING, "started_at": "2026-03-06T12:00:01-06:00"},
        "/started_at",
        "instant_in_future",
    ),
    "end before its beginning": (
        "documents",
        {"kind": "registration", "unit": "LR-44", "starts_on": "2026-02-01", "ends_on": "2026-01-31"},
        "/ends_on",
        "period_ends_before_start",
    ),
    "end that no paper has": (
        "documents",
        {"kind": "registration", "unit": "LR-44", "starts_on": "2026-02-01", "ends_on": "9999-12-31"},
        "/ends_on",
        "period_ends_too_late",
    ),
    "NUL in a text": ("documents", {**PAPER, "number": "a\0b"}, "/number", "text_nul"),
    "half a surrogate in a text": ("documents", {**PAPER, "number": "a\ud800b"}, "/number", "text_surrogate"),
    "a field nobody knows": ("documents", {**PAPER, "colour": "red"}, "/colour", "unknown_field"),
}


@pytest.fixture
def desk() -> Device:
    make_carrier()
    make_reading(make_unit(number="NL-11"), "1000.0")
    make_unit(UnitKind.TRAILER, "LR-44")
    return acting_as(Role.COMPLIANCE, Role.DISPATCH, Role.DRIVER)


@pytest.mark.parametrize(("path", "body", "pointer", "code"), LINES.values(), ids=LINES)
def test_line__refused_at_its_field_by_its_rule_and_nothing_changed(
    desk: Device, path: str, body: dict[str, Any], pointer: str, code: str
) -> None:
    before = contents()

    answer = desk.post(path, body)

    unreadable = code in {"text_nul", "text_surrogate"}  # a text that nothing can keep is no body at all
    assert (answer.status_code, codes(answer)) == (400 if unreadable else 422, [(pointer, code)])
    assert contents() == before


@pytest.mark.parametrize(("path", "body"), [("meter-readings", READING), ("documents", PAPER), ("couplings", COUPLING)])
def test_the_same_without_the_fault__taken(desk: Device, path: str, body: dict[str, Any]) -> None:
    """Else the lines above could be refused for anything."""
    assert desk.post(path, body).status_code == 201


def test_second_current_document__refused_and_nothing_changed(desk: Device) -> None:
    assert desk.post("documents", PAPER).status_code == 201
    before = contents()

    again = desk.post("documents", PAPER)

    assert (again.status_code, again.json()["code"]) == (409, "document_current_exists")
    assert contents() == before


def test_coupling_ended_before_it_began__refused_and_nothing_changed(desk: Device) -> None:
    coupling = make_coupling(make_unit(number="NL-12"), make_unit(UnitKind.TRAILER, "LR-45"))
    before = contents()

    answer = desk.post(f"couplings/{coupling.pk}/uncouple", {"ended_at": "2020-01-01T00:00:00Z"})

    assert (answer.status_code, codes(answer)) == (422, [("/ended_at", "end_before_beginning")])
    assert contents() == before


def test_mislabelled_scan__refused_and_nothing_changed(desk: Device) -> None:
    document = make_document()
    before = contents()

    answer = desk.put_file(f"documents/{document.pk}/file", b"%PDF-1.7 a scan", "image/png", if_match='"1"')

    assert (answer.status_code, answer.json()["code"]) == (422, "file_mislabelled")
    assert contents() == before


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("sites/%00", 404),
        ("loads/%00", 404),
        ("points?catalogue=%00", 400),
        ("yard?unit=NL-11&unit=%00", 400),
        ("documents?kind=passport", 400),
        ("policies?key=passport", 400),
        ("trailers?owner=Nobody", 400),
        ("outside-repairs?firm=Nobody", 400),
        ("firm-confirmations?firm=Nobody", 400),
        ("labor-entries?order=0.5", 400),
        ("labor-entries?order=-1", 400),
        (f"labor-entries?order={2**63}", 400),
    ],
)
def test_address_that_nothing_has__refused_without_an_error(address: str, status: int) -> None:
    make_carrier()
    answer = acting_as(Role.FOREMAN, Role.DISPATCH).get(address)
    assert (answer.status_code, answer.headers["Content-Type"]) == (status, "application/problem+json"), answer.content


@pytest.mark.parametrize("key", [False, 0, "0" * 32])
def test_value_that_is_no_uuid__is_not_taken_for_one(key: object) -> None:
    make_carrier()
    refused = acting_as(Role.COMPLIANCE).post("expiries/feeds", {"name": "mine", "filters": {"responsible": key}})
    assert (refused.status_code, codes(refused)) == (422, [("/filters/responsible", "not_uuid")])
