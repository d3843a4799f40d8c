"""Clearance over stored rows: what stands against a combination, from what happened to it, until it is put right."""

import datetime as dt
from collections.abc import Callable
from decimal import Decimal

import pytest

from common.errors import Invalid
from defects.enums import Authority, Bars, Severity
from defects.models import Clearance, Defect
from defects.selectors.clearance.planned_trips import rest_of_trip
from defects.services.certificates.deferrals import return_past_limit
from defects.services.defects.evidence import Until
from defects.services.holds.by_person import place_hold
from defects.services.refusals.refusals import look_again
from fleet.enums import UnitKind
from fleet.models import Axle, Document, Unit
from tests.factories.fleet import HOUR, NOON, make_document, make_reading, make_unit
from tests.support.dock import Dock, codes, reason
from tests.support.refusals import refused
from tests.support.submissions import answer_to
from tests.support.yard import decide

DAY = dt.timedelta(days=1)
SOCKET = "lamps.trailer.socket"


def test_everything_in_order__nothing_known_against_it_and_what_ends_that_first(dock: Dock) -> None:
    asked = dock.ask()
    assert (asked.answer, asked.reasons, asked.unknown) == ("nothing_known_against", [], [])
    assert asked.first_to_end_it == {
        "at": "2026-03-07T18:01:00Z",
        "code": "walk_due",
        "unit": "CU-46",
        "facts": {"walked_at": "2026-03-06T18:01:00Z"},
    }
    assert asked.valid_until == dt.datetime(2026, 3, 7, 18, 1, tzinfo=dt.UTC)


def test_clearance_request__is_on_record_with_everything_it_was_about(dock: Dock) -> None:
    load = dock.load()
    asked = dock.ask(hours=20, by="cal", departure=NOON + 3 * HOUR, miles=900, load="l-1", driver="sol")
    stored = Clearance.objects.get()
    assert stored.pk == asked.pk
    assert [unit.number for unit in stored.units.order_by("number")] == ["CU-46", "LR-46", "NL-13"]
    assert (stored.requested_by, stored.requested_at, stored.load) == (dock["cal"], dock.now, load)
    assert (stored.driver, stored.departure, stored.arrival) == (dock["sol"], NOON + 3 * HOUR, NOON + 23 * HOUR)
    assert (stored.miles, stored.answer) == (Decimal("900.0"), "nothing_known_against")


def test_asked_while_barred__both_clearance_requests_stay_on_record(dock: Dock) -> None:
    """Day 8 of the scenario: asking is on record, and asking again changes nothing."""
    dock.stroke()
    for _ in range(2):
        assert dock.ask().answer == "barred"
        dock.later()
    assert Clearance.objects.count() == 2


# What stands on a unit


def test_carriers_hold__until_repaired_lifted_and_reviewed(dock: Dock) -> None:
    defect = dock.stroke()
    asked = dock.ask()
    assert (asked.answer, codes(asked)) == ("barred", ["carrier_hold", "defect_not_certified", "review_not_signed"])
    hold = defect.holds.get()
    assert reason(asked, "carrier_hold")["facts"]["hold"] == hold.number
    assert reason(asked, "carrier_hold")["ends_when"] == "hold_lifted_by_second_person"
    assert reason(asked, "defect_not_certified")["ends_when"] == "defect_repaired"
    dock.repaired_stroke(defect)
    assert codes(dock.ask()) == ["carrier_hold", "review_not_signed"]
    dock.lift(hold)
    assert (dock.ask().answer, codes(dock.ask())) == ("after_driver_steps", ["review_not_signed"])
    dock.review()
    assert dock.ask().answer == "nothing_known_against"


def test_hold_a_person_placed__says_why(dock: Dock) -> None:
    place_hold(unit_id=dock.tractor.pk, defect_id=None, reason="smells of fuel", actor=dock["hob"], now=dock.now)
    assert reason(dock.ask(), "carrier_hold")["facts"]["reason"] == "smells of fuel"


def test_small_carrier__hold_is_lifted_by_anyone_who_may(dock: Dock) -> None:
    decide("small_carrier_lift", value=True, by=dock["vera"])
    dock.stroke()
    assert reason(dock.ask(), "carrier_hold")["ends_when"] == "hold_lifted"


def test_officers_order__expected_to_end_with_the_last_repair_promised(dock: Dock) -> None:
    dock.inspected(dock.brake("axle-1-left"), dock.brake("axle-1-right"))
    order = reason(dock.ask(), "officers_order")
    assert (order["unit"], order["expected_at"], order["source"]) == ("LR-46", None, "49 CFR 396.9(c)(2)")
    first, second = Defect.objects.order_by("number")
    Defect.objects.filter(pk=first.pk).update(expected_at=NOON + 5 * HOUR)
    assert reason(dock.ask(), "officers_order")["expected_at"] is None
    Defect.objects.filter(pk=second.pk).update(expected_at=NOON + 4 * HOUR)
    assert reason(dock.ask(), "officers_order")["expected_at"] == "2026-03-06T23:00:00Z"


@pytest.mark.parametrize(
    ("point", "place", "code"),
    [
        ("lamps.trailer.turn", "left", "defect_not_certified"),
        (SOCKET, "", "defect_not_certified"),  # statutory, next shop visit
        ("body.landing-gear.position", "", "carrier_defect"),
    ],
)
def test_open_defect__bars_by_whose_demand_it_is(dock: Dock, point: str, place: str, code: str) -> None:
    defect = dock.finding(point, place)
    found = reason(dock.ask(), code)
    assert found["facts"] == {
        "defect": defect.number,
        "point": point,
        "place": place,
        "severity": defect.severity,
        "finding": defect.finding,
    }
    assert (found["unit"], found["since"]) == ("LR-46", dock.now.replace(tzinfo=None).isoformat() + "Z")


def test_defect_with_an_expected_time__says_when_it_ends(dock: Dock) -> None:
    defect = dock.finding(SOCKET)
    Defect.objects.filter(pk=defect.pk).update(expected_at=NOON + 9 * HOUR)
    assert reason(dock.ask(), "defect_not_certified")["expected_at"] == "2026-03-07T03:00:00Z"


def test_carriers_own_point_for_the_next_shop_visit__bars_nothing(dock: Dock) -> None:
    dock.finding("cooling.engine.belts", unit=dock.cooling_unit)
    assert dock.ask().answer == "nothing_known_against"


def test_fault_in_the_drivers_words__until_the_foreman_graded_it(dock: Dock) -> None:
    defect = dock.fault("knocks when turning")
    assert reason(dock.ask(), "defect_not_graded")["facts"]["point"] == "knocks when turning"
    dock.grade(defect, Severity.WATCH, Bars.NOTHING, Authority.CARRIER)
    assert codes(dock.ask()) == ["defect_not_certified", "review_not_signed"]  # the driver called it unsafe


def test_refused_unit__until_a_second_person_has_looked(dock: Dock) -> None:
    refusal = dock.refuse(unit=dock.tractor)
    assert reason(dock.ask(), "refusal_not_looked_at")["facts"] == {"refusal": str(refusal.pk)}
    look_again(refusal_id=refusal.pk, found="in order", looked_at=dock.now, actor=dock["greta"], now=dock.now)
    assert dock.ask().answer == "nothing_known_against"


# Repairs put off


def test_deferred__no_bar_until_its_last_day_ends_on_the_way_or_has_passed(dock: Dock) -> None:
    """A certificate of "repair unnecessary" through 14 March, last day included, in the carrier's zone."""
    dock.dismiss(dock.finding(SOCKET))
    dock.review()
    assert dock.ask().answer == "nothing_known_against"
    last_day = dt.datetime(2026, 3, 15, 5, tzinfo=dt.UTC)  # midnight in Chicago, after the change of the clocks
    leaving = last_day - 10 * HOUR
    assert "deferral_ends_before_arrival" not in codes(dock.ask(hours=9.9, at=leaving))
    assert "deferral_ends_before_arrival" in codes(dock.ask(hours=10, at=leaving))
    assert "deferral_over" in codes(dock.ask(at=last_day))


def test_deferred_past_its_limit__reported_again_by_the_job_and_barred_as_before(dock: Dock) -> None:
    defect = dock.finding(SOCKET)
    dock.dismiss(defect)
    dock.review()
    after = NOON + 9 * DAY
    assert return_past_limit(now=after) == 1
    assert Defect.objects.get(pk=defect.pk).state == "reported"
    assert "defect_not_certified" in codes(dock.ask(at=after))


def test_deferred_by_miles__needs_the_trips_miles_and_counts_them(dock: Dock) -> None:
    make_reading(dock.tractor, "1000.0")
    defect = dock.finding("cab.speedometer", finding="wrong_or_dead", unit=dock.tractor)
    dock.dismiss(defect, until=Until(mi=Decimal(1150)))
    dock.review(dock.tractor)
    assert codes(dock.ask()) == ["deferral_limit_unknown"]
    assert dock.ask(miles=149).answer == "nothing_known_against"
    assert codes(dock.ask(miles=150)) == ["deferral_ends_before_arrival"]
    make_reading(dock.tractor, "1150.0", read_at=NOON)
    assert codes(dock.ask(miles=0)) == ["deferral_over"]


def test_deferred_defect_in_the_shop__bars_while_it_is_taken_apart(dock: Dock) -> None:
    defect = dock.finding(SOCKET)
    dock.dismiss(defect)
    Defect.objects.filter(pk=defect.pk).update(state="in_repair")
    assert "defect_not_certified" in codes(dock.ask())


# Documents


def test_registration__bars_a_trip_that_it_does_not_outlast_by_the_margin(dock: Dock) -> None:
    """Day 25 of the scenario: barred for this trip, not for a shorter one. The margin is a day unless decided."""
    Document.objects.filter(unit=dock.tractor, kind="registration").update(ends_on=dt.date(2026, 3, 8))
    over = dt.datetime(2026, 3, 9, 5, tzinfo=dt.UTC)
    hours = (over - DAY - dock.now) / HOUR
    short, long = dock.ask(hours=hours - 0.1), dock.ask(hours=hours)
    assert short.answer == "nothing_known_against"
    assert short.first_to_end_it is not None
    assert short.first_to_end_it["code"] == "document_ends_before_arrival"
    found = reason(long, "document_ends_before_arrival")
    assert (found["unit"], found["facts"]["document"]) == ("NL-13", "registration")
    assert (found["facts"]["last_day"], found["facts"]["needed_until"]) == ("2026-03-08", "2026-03-09T05:00:00Z")
    decide("clearance_buffer_hours", 0, dock["vera"])
    assert dock.ask(hours=hours).answer == "nothing_known_against"


def test_document_run_out_or_never_recorded__bars_by_itself(dock: Dock) -> None:
    Document.objects.filter(unit=dock.trailer, kind="periodic_inspection").update(ends_on=dt.date(2026, 3, 5))
    Document.objects.filter(unit=dock.tractor, kind="registration").delete()
    asked = dock.ask()
    assert codes(asked) == ["document_expired", "document_missing"]
    assert reason(asked, "document_expired")["since"] == "2026-03-06T06:00:00Z"
    assert reason(asked, "document_missing")["ends_when"] == "document_recorded"


def test_document_that_begins_only_later__bars_until_then(dock: Dock) -> None:
    Document.objects.filter(unit=dock.tractor, kind="registration").update(starts_on=dt.date(2026, 3, 8))
    assert codes(dock.ask()) == ["document_not_begun"]
    assert dock.ask(departure=NOON + 3 * DAY, hours=1).answer == "after_driver_steps"


def test_reading_by_month_end__serves_to_the_end_of_the_month(dock: Dock) -> None:
    Document.objects.filter(unit=dock.trailer, kind="periodic_inspection").update(
        ends_on=dt.date(2026, 3, 5), ends_on_month=dt.date(2026, 3, 31)
    )
    decide("periodic_inspection_reading", "by_month_end", dock["vera"])
    assert dock.ask().answer == "nothing_known_against"


def test_conditional_documents__asked_for_once_the_carrier_says_that_they_apply(dock: Dock) -> None:
    assert dock.ask().answer == "nothing_known_against"
    decide("document_conditions", {"tractor": ["crosses_state_lines"], "carrier": ["for_hire"]}, dock["vera"])
    asked = dock.ask()
    missing = [(row["unit"], row["facts"]["document"]) for row in asked.reasons]
    assert missing == [("", "insurance"), ("NL-13", "apportioned_cab_card"), ("NL-13", "fuel_tax_licence")]


def test_permit_of_a_state__asked_for_only_where_the_load_crosses_it(dock: Dock) -> None:
    dock.load("L-2", "dry", us_states=["IL", "KY"])
    assert dock.ask().answer == "nothing_known_against"
    asked = dock.ask(load="L-2")
    assert [(row["code"], row["facts"]) for row in asked.reasons] == [
        ("document_missing", {"document": "weight_distance_permit", "us_state": "KY"})
    ]


def test_empty_run__asked_for_the_permits_of_the_states_it_names_also_when_weighed_anew(dock: Dock) -> None:
    assert dock.ask(us_states=["IL"]).answer == "nothing_known_against"
    asked = dock.ask(us_states=["IL", "KY"])
    assert [row["facts"]["us_state"] for row in asked.reasons] == ["KY"]
    assert rest_of_trip(asked, now=dock.now).us_states == ["IL", "KY"]


def test_state_that_there_is_not__refused(dock: Dock) -> None:
    with refused(Invalid, "state_unknown", ("/us_states/1", "state_unknown")):
        dock.ask(us_states=["IL", "ZZ"])


# Third-party units


def test_unit_of_others__barred_until_inspection_date_and_plate_are_recorded(dock: Dock) -> None:
    """Day 21 of the scenario. The owner is known, because it is part of the name."""
    others = make_unit(UnitKind.TRAILER, "QX-9003", owner="Gravelspoon Foods")
    ask = ("NL-13", "QX-9003@Gravelspoon Foods")
    found = dock.ask(*ask)
    bars = [row["code"] for row in found.reasons if row["kind"] == "bars"]
    assert bars == ["others_inspection_date_missing", "others_plate_missing"]
    Unit.objects.filter(pk=others.pk).update(plate="QX 1")
    make_document(others, kind="periodic_inspection", starts_on=dt.date(2026, 1, 5), ends_on=None)
    assert dock.ask(*ask).answer == "after_driver_steps"
    Document.objects.filter(unit=others).update(ends_on=dt.date(2026, 3, 1))
    assert "document_expired" in codes(dock.ask(*ask))


# Brakes of the combination


@pytest.mark.parametrize(("defective", "answer"), [(1, False), (2, True)])
def test_brakes__one_in_five_of_the_combination_bars_by_itself(dock: Dock, *, defective: int, answer: bool) -> None:
    """The published example: ten brakes, two defects out of service, one not (by this criterion)."""
    for place in ("axle-1-left", "axle-1-right")[:defective]:
        dock.hand_in((dock.trailer, [answer_to("brakes.service.lining", "defect", place=place)]))
    found = [row["facts"] for row in dock.ask().reasons if row["code"] == "brake_share"]
    assert found == ([{"defective": 2, "brakes": 10}] if answer else [])


def test_uncoupled__each_unit_answers_for_its_own_brakes(dock: Dock) -> None:
    """Day 14: both bad brakes on the trailer; the tractor alone has none."""
    for place in ("axle-1-left", "axle-1-right"):
        dock.hand_in((dock.trailer, [answer_to("brakes.service.lining", "defect", place=place)]))
    alone = dock.ask("NL-13")
    assert (alone.answer, codes(alone)) == ("after_driver_steps", ["units_to_uncouple"])
    assert reason(alone, "units_to_uncouple")["facts"] == {"units": ["LR-46"]}
    assert reason(dock.ask("LR-46"), "brake_share")["facts"] == {"defective": 2, "brakes": 4}


def test_brakes_not_recorded__one_bad_brake_bars_because_nobody_can_count(dock: Dock) -> None:
    dock.hand_in((dock.trailer, [answer_to("brakes.service.lining", "defect", place="axle-1-left")]))
    Axle.objects.filter(unit=dock.tractor, number=3).update(brake_type="")
    assert "brake_count_unknown" in codes(dock.ask())


def test_axles_not_recorded__brakes_and_tires_are_unknown_until_they_are(dock: Dock) -> None:
    Axle.objects.filter(unit=dock.tractor).delete()
    [unknown] = dock.ask().unknown
    assert (unknown["code"], unknown["unit"], unknown["ends_when"]) == ("axles_not_recorded", "NL-13", "fact_recorded")


def test_bad_brake_on_a_steering_axle__bars_alone(dock: Dock) -> None:
    dock.hand_in((dock.tractor, [answer_to("brakes.service.lining", "defect", place="axle-1-left")]))
    found = reason(dock.ask(), "steering_axle_brake")
    assert found["facts"] == {"places": ["NL-13 axle-1-left"]}


# What cannot be asked


@pytest.mark.parametrize(
    ("ask", "code"),
    [
        (lambda dock: dock.ask("NL-13", "NL-15"), "combination_impossible"),
        (lambda dock: dock.ask("NL-13", "ZZ-1"), "unit_unknown"),
        (lambda dock: dock.ask(hours=-1), "arrival_before_departure"),
        (lambda dock: dock.ask(load="L-404"), "load_unknown"),
    ],
)
def test_question_that_makes_no_sense__refused_and_not_on_record(
    dock: Dock, ask: Callable[[Dock], Clearance], code: str
) -> None:
    with refused(Invalid, code):
        ask(dock)
    assert not Clearance.objects.exists()


def test_unit_named_twice__refused(dock: Dock) -> None:
    with refused(Invalid, "combination_impossible"):
        dock.ask("NL-13", "nl-13")


def test_retired_unit__refused(dock: Dock) -> None:
    Unit.objects.filter(pk=dock.trailer.pk).update(retired_on=dt.date(2026, 3, 1))
    with refused(Invalid, "unit_retired"):
        dock.ask("NL-13", str(dock.trailer.pk))
