"""Third-party units met on the road, units of one number, and units taken over from another combination."""

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from defects.models import Defect, Report, Walkaround
from fleet.models import Coupling, CouplingMember, Unit, UnitChain
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.contents import contents, more_rows
from tests.support.walks import body, check, put, walk_list, whole

MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
QX = {"kind": "trailer", "number": "QX-9003", "owner": "Acme Foods"}
REF = "QX-9003@Acme Foods"
VIN = "BZTTKAA3XKA016001"
FLAT = check("tires.trailer.body", "axle-1-left-outer", "defect")


def met(*others: dict[str, Any], refs: tuple[str, ...] = (REF,), at: datetime = NOON - MINUTE, **more: Any) -> Any:
    """The answer to a walk-around of units that the phone brings along."""
    reports = [{"unit": ref, "checks": [FLAT]} for ref in refs]
    return put(acting_as("ada"), body(reports, finished_at=at, units_of_others=list(others), **more))


def codes(receipt: Any) -> list[str]:
    return [item["code"] for item in receipt["flags"]]


# units of others ------------------------------------------------------------------------------------------------------


def test_unknown_unit__is_added_with_the_walkaround() -> None:
    device = acting_as("ada")
    before = contents()

    given = {**QX, "vin": VIN, "plate": "7RQ 201", "plate_state": "WI"}
    walk = body([{"unit": REF, "checks": [FLAT]}], finished_at=NOON, kind="pick_up", units_of_others=[given])
    receipt = put(device, walk)

    added = more_rows(before, contents())
    assert {name: added[name] for name in ("fleet_unit", "fleet_trailerdetails", "fleet_unitchain")} == {
        "fleet_unit": 1,
        "fleet_trailerdetails": 1,
        "fleet_unitchain": 1,
    }
    unit = Unit.objects.get(number="QX-9003")
    assert (unit.owner, unit.vin, unit.plate, unit.plate_state) == ("Acme Foods", VIN, "7RQ 201", "WI")
    assert unit.in_control_since == date(2026, 3, 6)
    assert (receipt["units"][0]["unit"], receipt["units"][0]["known"], receipt["flags"]) == (REF, True, [])
    assert receipt["clearance"] == "/api/v1/yard?unit=QX-9003%40Acme+Foods"
    defect = Defect.objects.get()
    assert (defect.unit, receipt["units"][0]["found"][0]["hold"] is None) == (unit, False)
    kinds = [entry.kind for entry in unit.history.order_by("sequence")]
    assert kinds[:3] == ["unit_of_others_added", "report_signed", "defect_reported"]
    assert UnitChain.objects.get(unit=unit).sequence == len(kinds)


def test_whole_walk_of_a_third_party_unit__every_leg_is_its_own_by_its_reference() -> None:
    met(QX)
    listed = walk_list(acting_as("ada"), tractor=None, trailer=REF)
    walk = whole(listed, NOON)
    assert [report["unit"] for report in walk["reports"]] == [REF]
    assert put(acting_as("ada"), walk)["flags"] == []


def test_first_day_of_control__is_the_carriers_day_and_not_the_phones() -> None:
    """Half past ten in the evening of 5 March in Chicago, on a phone that is set to UTC."""
    evening = datetime(2026, 3, 5, 22, 30, tzinfo=ZoneInfo("America/Chicago")).astimezone(NOON.tzinfo)
    assert evening.date() == date(2026, 3, 6)
    met(QX, at=evening)
    assert Unit.objects.get(number="QX-9003").in_control_since == date(2026, 3, 5)


def test_unit_known_already__not_added_again_whatever_the_spelling() -> None:
    met(QX)
    receipt = met({**QX, "number": "qx-9003", "owner": "ACME FOODS"}, refs=("qx-9003@acme foods",))
    assert Unit.objects.filter(number__iexact="qx-9003").count() == 1
    assert receipt["units"][0]["found"][0]["how"] == "seen_again"


def test_unit_brought_twice__added_once() -> None:
    assert codes(met(QX, {**QX, "owner": "acme foods"})) == []
    assert Unit.objects.filter(number="QX-9003").count() == 1


PLATED = {**QX, "vin": VIN, "plate": "7RQ 201", "plate_state": "WI"}


def identity(number: str = "QX-9003") -> tuple[str, str, str]:
    unit = Unit.objects.get(number=number)
    return unit.vin, unit.plate, unit.plate_state


def test_plate_sent_with_a_second_walk__taken_where_none_is_recorded() -> None:
    met(QX)
    assert codes(met(PLATED)) == []
    assert identity() == (VIN, "7RQ 201", "WI")
    unit = Unit.objects.get(number="QX-9003")
    assert [entry.kind for entry in unit.history.order_by("sequence")].count("unit_edited") == 1


def test_plate_of_a_unit_brought_and_not_walked__taken_too() -> None:
    met(QX)
    assert codes(met(PLATED, refs=("LR-47",))) == []
    assert identity() == (VIN, "7RQ 201", "WI")


def test_plate_that_differs_from_the_record__flagged_and_the_record_stays() -> None:
    met({**QX, "plate": "7RQ 201"})
    receipt = met({**QX, "plate": "8SX 114", "plate_state": "MN"})
    assert codes(receipt) == ["unit_fact_differs"]
    assert receipt["flags"][0]["detail"] == f"On record for {REF} is 7RQ 201, not 8SX 114. Look again."
    assert identity() == ("", "7RQ 201", "")


def test_plate_spelled_otherwise__no_other_plate() -> None:
    met(PLATED)
    assert codes(met({**PLATED, "plate": "7rq-201"})) == []
    assert identity() == (VIN, "7RQ 201", "WI")


def test_vin_sent_later_that_another_unit_has__flagged_and_the_plate_taken() -> None:
    ours = Unit.objects.get(number="LR-47", owner="")
    met(QX)
    assert codes(met({**PLATED, "vin": ours.vin})) == ["unit_vin_known"]
    assert identity() == ("", "7RQ 201", "WI")


def test_unit_brought_and_not_walked__added_all_the_same() -> None:
    met(QX, refs=("LR-47",))
    assert Unit.objects.filter(number="QX-9003").count() == 1


@pytest.mark.parametrize(
    ("wrong", "kept"),
    [
        ({"vin": VIN[:-1] + "9"}, {"vin": ""}),
        ({"vin": VIN + "8"}, {"vin": ""}),
        ({"plate_state": "Wisconsin"}, {"plate_state": ""}),
        ({"plate_state": "W1", "plate": "7RQ 201"}, {"plate_state": "", "plate": "7RQ 201"}),
    ],
)
def test_fact_that_cannot_be_right__left_out_and_flagged_and_the_rest_taken(
    wrong: dict[str, str], kept: dict[str, str]
) -> None:
    receipt = met({**QX, **wrong})

    assert codes(receipt) == ["unit_fact_unusable"]
    stored = Walkaround.objects.get().flags[0]["facts"]
    assert stored == {"unit": REF, "given": next(iter(wrong.values()))}
    unit = Unit.objects.get(number="QX-9003")
    assert {name: getattr(unit, name) for name in kept} == kept
    assert Defect.objects.get().unit == unit


def test_vin_and_state_in_small_letters__taken() -> None:
    assert codes(met({**QX, "vin": VIN.lower(), "plate_state": "wi"})) == []
    assert (Unit.objects.get(number="QX-9003").vin, Unit.objects.get(number="QX-9003").plate_state) == (VIN, "WI")


def test_vin_of_a_unit_we_have__left_out_and_flagged() -> None:
    ours = Unit.objects.get(number="LR-47", owner="")

    receipt = met({**QX, "vin": ours.vin})

    assert codes(receipt) == ["unit_vin_known"]
    assert Unit.objects.get(number="QX-9003").vin == ""
    assert Defect.objects.get().unit.number == "QX-9003"


def test_number_known_as_another_kind__flagged_and_the_report_is_on_the_unit_we_know() -> None:
    met(QX)

    receipt = met({**QX, "kind": "tractor"})

    assert codes(receipt) == ["unit_kind_differs"]
    assert receipt["units"][0]["known"]
    assert Unit.objects.get(number="QX-9003").kind == "trailer"


@pytest.mark.parametrize("wrong", [{"number": "QX 9003"}, {"owner": "Acme@Home"}, {"owner": "Acme/North"}])
def test_name_that_cannot_be_one__not_added_flagged_and_its_report_kept(wrong: dict[str, str]) -> None:
    given = {**QX, **wrong}

    receipt = met(given, refs=(f"{given['number']}@{given['owner']}",))

    assert codes(receipt) == ["unit_fact_unusable"]
    assert not receipt["units"][0]["known"]
    assert [item["code"] for item in receipt["units"][0]["flags"]] == ["unit_unknown"]
    assert Report.objects.get().checks[0]["answer"] == "defect"
    assert not Unit.objects.exclude(owner="").exists()


@pytest.mark.parametrize("spelled", ["Ninefold Larder Lines", "NINEFOLD larder lines "])
def test_our_own_unit_met_under_the_carriers_name__the_one_on_record(spelled: str) -> None:
    """A driver at a customer's yard types the name on the trailer's side; the hold belongs on the one we know."""
    given = {"kind": "trailer", "number": "lr-45", "owner": spelled}
    before = Unit.objects.count()

    receipt = met(given, refs=(f"lr-45@{spelled}".strip(),))

    assert (Unit.objects.count(), codes(receipt)) == (before, ["unit_fact_unusable"])
    assert [(unit["known"], unit["found"][0]["hold"] is None) for unit in receipt["units"]] == [(True, False)]
    assert str(Defect.objects.get().unit) == "LR-45"


def test_unknown_number_under_the_carriers_name__not_added_and_its_report_kept() -> None:
    receipt = met({"kind": "trailer", "number": "LR-99", "owner": "Ninefold Larder Lines"}, refs=("LR-99",))
    assert codes(receipt) == ["unit_fact_unusable"]
    assert [unit["known"] for unit in receipt["units"]] == [False]
    assert not Unit.objects.filter(number="LR-99").exists()


def test_our_number_and_that_of_others__each_named_by_its_owner() -> None:
    ours = Unit.objects.get(number="LR-41", owner="")

    receipt = met({**QX, "number": "LR-41"}, refs=("LR-41", "LR-41@Acme Foods"))

    assert [unit["unit"] for unit in receipt["units"]] == ["LR-41", "LR-41@Acme Foods"]
    assert [unit["flags"] for unit in receipt["units"]] == [[], []]
    owners = {defect.unit.owner: defect.unit for defect in Defect.objects.select_related("unit")}
    assert set(owners) == {"", "Acme Foods"}
    assert owners[""] == ours


# taking over ----------------------------------------------------------------------------------------------------------


def standing(number: str) -> list[frozenset[str]]:
    """The combinations in which a unit runs now, each as its units' numbers."""
    running = CouplingMember.objects.filter(unit__number=number, span__upper_inf=True)
    return [
        frozenset(row.unit.number for row in CouplingMember.objects.filter(coupling_id=coupling))
        for coupling in running.values_list("coupling_id", flat=True)
    ]


def take(*units: str, at: datetime = NOON - MINUTE, by: str = "ada", **more: Any) -> Any:
    return put(acting_as(by), body([{"unit": unit} for unit in units], finished_at=at, **{"coupled": True, **more}))


def test_trailer_taken_over__ends_the_old_combination_and_flags_both() -> None:
    """NL-15 runs with LR-45 as recorded; Ada has LR-45 behind NL-11, which was recorded with LR-41."""
    before = set(Coupling.objects.values_list("pk", flat=True))

    receipt = take("NL-11", "LR-45")

    assert receipt["flags"] == []
    assert standing("LR-45") == standing("NL-11") == [frozenset({"NL-11", "LR-45"})]
    assert standing("NL-15") == standing("LR-41") == []
    new = Coupling.objects.exclude(pk__in=before).get()
    assert (new.took_over, new.started_at, new.recorded_by.username) == (True, NOON - MINUTE, "ada")
    ended = Coupling.objects.filter(pk__in=before, taken_over=True)
    assert {row.ended_at for row in ended} == {NOON - MINUTE}
    assert ended.count() == 2
    assert Walkaround.objects.get().coupling == new
    for number in ("NL-15", "LR-41"):
        assert Unit.objects.get(number=number).history.order_by("-sequence")[0].kind == "uncoupled"
    kinds = [entry.kind for entry in Unit.objects.get(number="LR-45").history.order_by("sequence")]
    assert kinds[-3:] == ["uncoupled", "coupled", "report_signed"]


def test_combination_as_recorded__nothing_taken_over() -> None:
    before = contents()
    take("NL-15", "LR-45", "CU-45")
    after = contents()
    assert after["fleet_coupling"] == before["fleet_coupling"]
    assert after["fleet_couplingmember"] == before["fleet_couplingmember"]
    assert Walkaround.objects.get().coupling == CouplingMember.objects.get(unit__number="LR-45").coupling


@pytest.mark.parametrize(
    ("units", "more"),
    [
        (("NL-11", "LR-45"), {"coupled": False}),
        (("NL-11", "NL-15"), {}),
        (("LR-41", "LR-45"), {}),
        (("NL-11", "CU-45"), {}),
        (("ZZ-9",), {}),
    ],
)
def test_units_on_no_combination__none_changes_and_nothing_is_refused(
    units: tuple[str, ...], more: dict[str, Any]
) -> None:
    before = contents()
    take(*units, **more)
    after = contents()
    assert after["fleet_coupling"] == before["fleet_coupling"]
    assert after["fleet_couplingmember"] == before["fleet_couplingmember"]


@pytest.mark.parametrize("units", [("NL-11", "NL-15"), ("LR-41", "LR-45"), ("NL-15", "NL-16", "LR-45", "CU-45")])
def test_coupled_units_that_cannot_run_together__flagged(units: tuple[str, ...]) -> None:
    assert codes(take(*units)) == ["not_a_combination"]


@pytest.mark.parametrize(
    "units",
    [
        ("LR-45",),
        ("NL-11", "CU-45"),
        ("NL-15", "LR-45", "LR-46"),
        ("NL-15", "nl-15", "LR-45"),
        ("ZZ-9", "LR-41", "LR-45"),
    ],
)
def test_units_that_may_run_together_for_all_that_is_known__not_flagged(units: tuple[str, ...]) -> None:
    assert codes(take(*units)) == []


def test_late_walk_from_before_a_newer_take_over__ends_where_the_newer_one_begins() -> None:
    take("NL-11", "LR-45", at=NOON - HOUR)

    take("NL-16", "LR-45", at=NOON - 2 * HOUR, by="sol")

    assert standing("LR-45") == [frozenset({"NL-11", "LR-45"})]
    between = CouplingMember.objects.get(unit__number="LR-45", span__contains=NOON - 2 * HOUR)
    assert (between.span.lower, between.span.upper) == (NOON - 2 * HOUR, NOON - HOUR)


def test_late_walk_from_before_a_confirmed_combination__flagged_and_ends_nothing() -> None:
    """NL-15 has run with LR-45 for days; Sol walked both, and then Ada's older walk of NL-16 with LR-45 arrives."""
    take("NL-15", "LR-45", at=NOON - MINUTE, by="sol")
    before = contents()

    receipt = take("NL-16", "LR-45", at=NOON - 2 * MINUTE)

    assert codes(receipt) == ["combination_confirmed_since"]
    assert contents()["fleet_coupling"] == before["fleet_coupling"]
    assert standing("LR-45") == [frozenset({"NL-15", "LR-45"})]
    assert Walkaround.objects.get(performed_at=NOON - 2 * MINUTE).coupling is None


@pytest.mark.parametrize("seen", [("LR-45",), ("NL-15",)])
def test_late_walk_from_before_one_of_a_part_of_the_combination__takes_over(seen: tuple[str, ...]) -> None:
    """Whoever names one unit alone does not say with which other it runs."""
    take(*seen, at=NOON - MINUTE, by="sol")
    assert codes(take("NL-16", "LR-45", at=NOON - 2 * MINUTE)) == []
    assert standing("LR-45") == [frozenset({"NL-16", "LR-45"})]


def test_two_drivers_at_the_same_instant__both_taken_the_later_sent_stands() -> None:
    take("NL-11", "LR-45", at=NOON - HOUR)
    take("NL-16", "LR-45", at=NOON - HOUR, by="sol")
    assert standing("LR-45") == [frozenset({"NL-16", "LR-45"})]


def test_unit_moved_twice_within_a_second__the_last_coupling_stands() -> None:
    for trailer in ("LR-44", "LR-45", "LR-46", "LR-44", "LR-45"):
        take("NL-15", trailer, at=NOON - HOUR)
    assert Walkaround.objects.count() == 5
    assert standing("NL-15") == [frozenset({"NL-15", "LR-45"})]
    assert standing("LR-46") == []


def test_two_drivers_swap_trailers_within_a_second__the_last_couplings_stand() -> None:
    for mine, other in (("LR-44", "LR-45"), ("LR-45", "LR-44"), ("LR-44", "LR-45")):
        take("NL-15", mine, at=NOON - HOUR)
        take("NL-16", other, at=NOON - HOUR, by="sol")
    assert standing("NL-15") == [frozenset({"NL-15", "LR-44"})]
    assert standing("NL-16") == [frozenset({"NL-16", "LR-45"})]
    assert Walkaround.objects.count() == 6


def test_walk_before_the_first_coupling__makes_a_combination_until_then() -> None:
    begun = Coupling.objects.get(members__unit__number="NL-15", members__span__upper_inf=True)
    take("NL-15", "LR-45", at=begun.started_at - HOUR)
    own = Walkaround.objects.get().coupling
    assert own is not None
    assert (own.started_at, own.ended_at) == (begun.started_at - HOUR, begun.started_at)


def test_nobody_knows_when_it_was__takes_over_nothing() -> None:
    take("NL-11", "LR-45", at=NOON + DAY)
    assert standing("LR-45") == [frozenset({"NL-15", "LR-45"})]
    assert Walkaround.objects.get().coupling is None
