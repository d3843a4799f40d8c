"""GET of a unit's file: days that cannot be read are refused, what comes is the archive under a name of its own."""

import pytest

from fleet.enums import Role, UnitKind
from fleet.models import HistoryEntry
from tests.factories.fleet import make_unit
from tests.support.acting import Device, acting_as, codes

pytestmark = pytest.mark.usefixtures("carrier", "media")


@pytest.fixture
def auditor(carrier: object) -> Device:
    make_unit(UnitKind.TRACTOR, "NL-12")
    return acting_as(Role.AUDITOR, name="Zed Audit")


def test_file__is_a_zip_named_for_unit_and_day(auditor: Device) -> None:
    answer = auditor.get("units/nl-12/file", **{"from": "2026-03-06", "to": "2026-03-06"})
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "application/zip"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="NL-12-20260306.zip"'
    assert answer.getvalue()[:2] == b"PK"
    assert HistoryEntry.objects.filter(kind="file_made").count() == 1


@pytest.mark.parametrize(
    ("query", "refused"),
    [
        ({"from": "6 March"}, ("from", "not_a_day")),
        ({"to": "2026-02-30"}, ("to", "not_a_day")),
        ({"from": "2026-03-07", "to": "2026-03-06"}, ("to", "file_days_turned")),
        ({"from": ""}, ("from", "blank")),
        ({"from": "0001-01-01"}, ("from", "not_a_day")),
        ({"to": "9999-12-31"}, ("to", "not_a_day")),
        ({"to": "2026-W48-1"}, ("to", "not_a_day")),
        ({"to": "20261130"}, ("to", "not_a_day")),
    ],
)
def test_days_that_are_none__are_refused_and_nothing_is_noted(
    auditor: Device, query: dict[str, str], refused: tuple[str, str]
) -> None:
    answer = auditor.get("units/NL-12/file", **query)
    assert (answer.status_code, codes(answer)) == (400, [refused])
    assert not HistoryEntry.objects.filter(kind="file_made").exists()


def test_unit_that_there_is_not__404(auditor: Device) -> None:
    answer = auditor.get("units/NL-99/file")
    assert (answer.status_code, answer.json()["code"]) == (404, "unit_unknown")
