"""Frozen files and deletion records over HTTP."""

import pytest

from fleet.enums import Role
from fleet.models import LegalHold
from tests.factories.fleet import make_carrier, make_deletion, make_unit
from tests.support.acting import Device, acting_as, codes

pytestmark = pytest.mark.django_db


@pytest.fixture
def office() -> Device:
    make_carrier()
    return acting_as(Role.COMPLIANCE, name="Vera Holt")


def test_legal_hold__placed_read_and_lifted(office: Device) -> None:
    make_unit(number="NL-11")
    placed = office.post("legal-holds", {"unit": "NL-11", "cause": "crash", "reason": "struck a gate"})
    assert placed.status_code == 201
    hold = placed.json()
    assert (hold["unit"]["number"], hold["cause"], hold["placed_by"]["name"]) == ("NL-11", "crash", "Vera Holt")
    assert hold["allowed_actions"] == ["lift"]
    assert office.get(f"legal-holds/{hold['id']}").json() == hold
    assert [row["id"] for row in office.get("legal-holds", unit="NL-11", open="true").json()["results"]] == [hold["id"]]

    lifted = office.post(f"legal-holds/{hold['id']}/lift", {"reason": "settled"}).json()

    assert (lifted["lift_reason"], lifted["lifted_by"]["name"], lifted["allowed_actions"]) == (
        "settled",
        "Vera Holt",
        [],
    )
    assert office.get("legal-holds", open="true").json()["results"] == []
    told = office.get("units/NL-11/history").json()["results"]
    assert [row["text"] for row in told[:2]] == [
        "A legal hold was lifted (crash): settled",
        "A legal hold was placed (crash): struck a gate",
    ]


def test_bad_bodies__refused_with_the_field_and_nothing_frozen(office: Device) -> None:
    make_unit(number="NL-11")
    good = {"unit": "NL-11", "cause": "claim", "reason": "short temperature record"}
    for field, value in (("unit", "NL-99"), ("cause", "whim"), ("reason", ""), ("until", "2027-01-01")):
        refused = office.post("legal-holds", {**good, field: value})
        assert refused.status_code in {400, 422}, field
        assert [place for place, _ in codes(refused)] == [f"/{field}"]
    assert not LegalHold.objects.exists()


def test_deletions__say_what_went_by_which_rule_and_are_cut_down(office: Device) -> None:
    unit = make_unit(number="NL-11")
    row = make_deletion(unit)
    make_deletion(make_unit(number="NL-12"), what="scan", record_kind="superseded_document")

    (told,) = office.get("deletions", unit="NL-11").json()["results"]

    assert (told["id"], told["what"], told["unit"]["number"]) == (str(row.pk), "photo", "NL-11")
    assert (told["retained_until"], told["source"], told["content_hash"]) == (
        "2026-02-01",
        "49 CFR 396.11(a)(4)",
        "ab" * 32,
    )
    assert len(office.get("deletions").json()["results"]) == 2
    for query in ({"what": "scan"}, {"record_kind": "superseded_document"}, {"run": str(row.run)}):
        assert len(office.get("deletions", **query).json()["results"]) == 1, query
    assert office.get("deletions", what="history_content").json()["results"] == []
