"""A seal that is not the one on the papers: kept with who read it, told to dispatch, said until dispatch decides."""

from defects.models import Load
from fleet.models import Notification
from tests.factories.fleet import history_of
from tests.support.acting import acting_as
from tests.support.dock import Dock

FROZEN: dict[str, object] = {"number": "NL-7001", "temperature_class": "frozen", "setpoint_f": "-10", "seal": "S-1"}
DRY: dict[str, object] = {"number": "NL-7001", "temperature_class": "dry", "food": False, "seal": "S-1"}


def loaded(dock: Dock, body: dict[str, object]) -> None:
    assert acting_as("cal").post("loads", body).status_code == 201
    assert acting_as("sol").post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46"}).status_code == 200


def said(dock: Dock) -> list[str]:
    rows = acting_as("cal").get("yard?unit=LR-46").json()["results"]
    return [reason["says"] for reason in rows[0]["reasons"] if reason["code"].startswith("seal")]


def test_wrong_seal__kept_told_and_said_until_dispatch_decides(dock: Dock) -> None:
    loaded(dock, FROZEN)
    answer = acting_as("sol").post("loads/NL-7001/compare-seal", {"seal": "S-2"})
    assert answer.status_code == 200
    body = answer.json()
    assert (body["seal_read"], body["seal_read_by"]["name"], body["seal_checked_at"]) == ("S-2", dock["sol"].name, None)
    assert body["seal_says"] == "Seal S-2 is not the seal on the shipping papers. Do not open it. Call dispatch."
    told = {notification.person for notification in Notification.objects.filter(kind="seal_differs")}
    assert told >= {dock["cal"], dock["hob"]}
    assert "seal_differs" in history_of(dock.trailer)
    assert said(dock) == ["Seal S-2 is not the seal on the shipping papers. Do not open it. Call dispatch."]

    decision, version = {"decision": "shipper confirms S-2"}, f'"{body["version"]}"'
    decided = acting_as("cal").post("loads/NL-7001/decide-seal", decision, if_match=version)

    assert (decided.status_code, decided.json()["seal_decision"]) == (200, "shipper confirms S-2")
    assert "seal_decided" in history_of(dock.trailer)
    assert said(dock) == ["Compare the seal with the shipping papers."]


def test_right_number_afterwards__does_not_take_the_wrong_one_back(dock: Dock) -> None:
    loaded(dock, FROZEN)
    acting_as("sol").post("loads/NL-7001/compare-seal", {"seal": "S-2"})
    after = acting_as("sol").post("loads/NL-7001/compare-seal", {"seal": "s-1"}).json()
    assert after["seal_says"] == "Seal S-2 is not the seal on the shipping papers. Do not open it. Call dispatch."
    assert len(said(dock)) == 1


def test_seal_that_dispatch_decided_over__bars_no_second_time(dock: Dock) -> None:
    loaded(dock, FROZEN)
    version = acting_as("sol").post("loads/NL-7001/compare-seal", {"seal": "S-2"}).json()["version"]
    acting_as("cal").post("loads/NL-7001/decide-seal", {"decision": "goes on"}, if_match=f'"{version}"')
    compared = acting_as("sol").post("loads/NL-7001/compare-seal", {"seal": "s-2"}).json()
    assert (compared["seal_says"], compared["seal_checked_by"]["name"]) == ("", dock["sol"].name)
    assert said(dock) == []
    another = acting_as("sol").post("loads/NL-7001/compare-seal", {"seal": "S-3"}).json()
    assert another["seal_says"] == "Seal S-3 is not the seal on the shipping papers. Do not open it. Call dispatch."


def test_documents_corrected_by_dispatch__decide(dock: Dock) -> None:
    loaded(dock, FROZEN)
    version = acting_as("sol").post("loads/NL-7001/compare-seal", {"seal": "S-2"}).json()["version"]
    corrected = acting_as("cal").patch("loads/NL-7001", {"seal": "S-2"}, if_match=f'"{version}"')
    assert corrected.json()["seal_says"] == ""
    load = Load.objects.get(number="NL-7001")
    assert (load.seal_read, load.seal_decided_by) == ("S-2", dock["cal"])


def test_freight_that_is_neither_food_nor_cold__dispatch_alone_is_told(dock: Dock) -> None:
    loaded(dock, DRY)
    acting_as("sol").post("loads/NL-7001/compare-seal", {"seal": "S-2"})
    told = {notification.person for notification in Notification.objects.filter(kind="seal_differs")}
    assert dock["cal"] in told
    assert dock["hob"] not in told


def test_nothing_to_decide__refused(dock: Dock) -> None:
    loaded(dock, FROZEN)
    version = acting_as("cal").get("loads/NL-7001").json()["version"]
    refused = acting_as("cal").post("loads/NL-7001/decide-seal", {"decision": "x"}, if_match=f'"{version}"')
    assert (refused.status_code, refused.json()["code"]) == (409, "seal_agrees")
