"""The foreman's grades: the first of a fault in free text, and changes that never go below a regulation."""

from typing import Any

import pytest

from common.errors import Conflict, DomainError, Invalid, NotAllowed
from defects.enums import Authority, Bars, Severity, bars_until_certified
from defects.models import Defect, Hold
from fleet.enums import Role
from fleet.models import Notification
from tests.factories.fleet import history_of, make_person
from tests.support.refusals import refuses
from tests.support.submissions import fault_told
from tests.support.yard import HORN, PLACE, STROKE, TAPE, Yard, stroke_check

GRADES = (
    (Severity.WATCH, Bars.NOTHING),
    (Severity.NEXT_SHOP_VISIT, Bars.NOTHING),
    (Severity.NEXT_SHOP_VISIT, Bars.COLD_FREIGHT),
    (Severity.BEFORE_NEXT_USE, Bars.MOVEMENT),
    (Severity.DO_NOT_MOVE, Bars.MOVEMENT),
)


def refused(error: type[DomainError], code: str, yard: Yard, defect: Defect, *grade: Any, **given: Any) -> DomainError:
    """The refusal of another grade, after which nothing was changed."""
    defect.refresh_from_db()
    act = yard.regrade if defect.graded else yard.grade
    return refuses(error, code, act, defect, *(grade or (Severity.WATCH, Bars.NOTHING)), **given)


# The first grade of a fault told in free text


def test_free_text__bars_until_it_is_graded(yard: Yard) -> None:
    defect = yard.fault()
    assert (defect.graded, defect.severity, defect.bars) == (False, "before_next_use", "movement")


@pytest.mark.parametrize(("severity", "bars"), GRADES)
def test_graded__as_the_foreman_says(yard: Yard, severity: Severity, bars: Bars) -> None:
    defect = yard.fault()

    yard.grade(defect, severity, bars, Authority.CARRIER)

    defect.refresh_from_db()
    assert (defect.graded, defect.severity, defect.bars, defect.authority) == (True, severity, bars, "carrier")
    assert "defect_graded" in history_of(yard.trailer)
    assert Hold.objects.filter(defect=defect).count() == (severity == Severity.DO_NOT_MOVE)


@pytest.mark.parametrize(("unsafe", "listing"), [(True, "driver"), (False, "noted")])
def test_graded_as_nothing__what_the_driver_listed_still_needs_its_certificate(
    yard: Yard, unsafe: bool, listing: str
) -> None:
    """49 CFR 396.11(a)(3): one grade frees no unit of what a driver reported as unsafe."""
    defect = yard.walk("iris", faults=[fault_told("pedal goes to the floor", unsafe=unsafe)])[0]

    yard.grade(defect, Severity.WATCH, Bars.NOTHING, Authority.CARRIER)

    defect.refresh_from_db()
    bars = bars_until_certified(defect.bars, defect.listing)
    assert (defect.listing, bars) == (listing, "movement" if unsafe else "nothing")


def test_graded_with_a_point__takes_its_rule_and_its_floor(yard: Yard) -> None:
    defect = yard.fault("brake on the right rear does nothing")

    found = refused(
        Conflict,
        "below_regulation",
        yard,
        defect,
        Severity.BEFORE_NEXT_USE,
        Bars.MOVEMENT,
        point=STROKE,
        place=PLACE,
        finding="no_action",
    )
    assert found.facts == {"regulation": "do_not_move", "rule": f"{STROKE}#no_action", "source": "49 CFR 393.48(a)"}
    yard.grade(defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT, point=STROKE, place=PLACE, finding="no_action")

    defect.refresh_from_db()
    assert (defect.point, defect.place, defect.finding) == (STROKE, PLACE, "no_action")
    assert (defect.rule, defect.regulation_severity) == (f"{STROKE}#no_action", "do_not_move")
    assert (defect.counts_as_service_brake, defect.authority) == (True, "statutory")
    assert defect.text == "brake on the right rear does nothing"
    assert defect.holds.get().lifted_at is None


@pytest.mark.parametrize(
    ("described", "pointer", "code"),
    [
        ({"point": "brakes.none"}, "/point", "flag_point_unknown"),
        ({"point": HORN}, "/point", "flag_point_not_for_unit_kind"),
        ({"point": STROKE, "place": "axle-9-left"}, "/place", "flag_place_unknown"),
        ({"point": STROKE, "place": PLACE, "finding": "odd"}, "/finding", "flag_finding_unknown"),
    ],
)
def test_point_that_the_unit_has_not__refused(yard: Yard, described: dict[str, str], pointer: str, code: str) -> None:
    found = refused(
        Invalid, "description_refused", yard, yard.fault(), Severity.DO_NOT_MOVE, Bars.MOVEMENT, **described
    )
    assert [(problem.pointer, problem.code) for problem in found.problems] == [(pointer, code)]


def test_point_at_which_a_defect_is_open__refused_with_its_number(yard: Yard) -> None:
    authority, defect = yard.stroke(), yard.fault()
    found = refused(
        Conflict, "fault_already_open", yard, defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT, point=STROKE, place=PLACE
    )
    assert found.facts["defect"] == authority.number


def test_graded_already__refused(yard: Yard) -> None:
    defect = yard.fault()
    yard.grade(defect, Severity.WATCH, Bars.NOTHING)
    with pytest.raises(Conflict) as caught:
        yard.grade(defect, Severity.WATCH, Bars.NOTHING)
    assert caught.value.code == "graded_already"


def test_ungraded__cannot_be_regraded(yard: Yard) -> None:
    defect = yard.fault()
    with pytest.raises(Conflict) as caught:
        yard.regrade(defect, Severity.WATCH, Bars.NOTHING)
    assert caught.value.code == "defect_not_graded"


# Another grade


@pytest.mark.parametrize(
    ("severity", "bars"),
    [
        (Severity.WATCH, Bars.MOVEMENT),
        (Severity.WATCH, Bars.COLD_FREIGHT),
        (Severity.BEFORE_NEXT_USE, Bars.COLD_FREIGHT),
        (Severity.DO_NOT_MOVE, Bars.NOTHING),
    ],
)
def test_severity_and_bars_that_do_not_go_together__refused(yard: Yard, severity: Severity, bars: Bars) -> None:
    refused(Invalid, "severity_and_bars_do_not_match", yard, yard.finding(TAPE, finding="damaged"), severity, bars)


def test_raised_to_do_not_move__hold_placed_and_told_in_the_same_breath(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    make_person("Dee Moss", Role.DISPATCH, email="dee@carrier.invalid")

    yard.regrade(defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT, reason="hangs into the wheel")

    hold = Hold.objects.get(defect=defect)
    assert (hold.reason, hold.placed_by, hold.lifted_at) == ("hangs into the wheel", yard["hob"], None)
    told = Notification.objects.filter(subject_id=hold.pk)
    assert {notification.person.name for notification in told} == {"Hob Anselm", "Ida Fell", "Cal Wick", "Dee Moss"}
    assert history_of(yard.trailer)[-2:] == ["defect_regraded", "hold_placed"]


def test_raised_from_a_watch__joins_the_repair_order(yard: Yard) -> None:
    defect = yard.finding("body.skin-and-roof", "left", "dent")
    assert (defect.severity, defect.order_number) == ("watch", None)

    yard.regrade(defect, Severity.NEXT_SHOP_VISIT, Bars.NOTHING)

    defect.refresh_from_db()
    assert defect.order_number == yard.trailer.repair_orders.get().number


def test_raised_twice__one_hold(yard: Yard) -> None:
    defect = yard.stroke()
    yard.regrade(defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT)
    assert Hold.objects.filter(defect=defect).count() == 1


def test_carriers_own_severity__may_be_lowered_to_the_regulation_and_no_further(yard: Yard) -> None:
    defect = yard.stroke()
    assert (defect.severity, defect.regulation_severity) == ("do_not_move", "before_next_use")

    found = refused(Conflict, "below_regulation", yard, defect, Severity.NEXT_SHOP_VISIT, Bars.NOTHING)
    assert found.facts["regulation"] == "before_next_use"
    yard.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)

    defect.refresh_from_db()
    assert (defect.severity, defect.state) == ("before_next_use", "reported")
    assert defect.holds.get().lifted_at is None


def test_measured_within_since__may_be_lowered_below_the_regulation(yard: Yard) -> None:
    defect = yard.stroke()
    yard.walk("greta", checks=[stroke_check("1.70", "fine")])

    yard.regrade(defect, Severity.WATCH, Bars.NOTHING)

    assert Defect.objects.get(pk=defect.pk).severity == "watch"


def test_measured_past_the_limit_since__floor_stays(yard: Yard) -> None:
    defect = yard.stroke()
    yard.walk("greta", checks=[stroke_check("2.05")])
    refused(Conflict, "below_regulation", yard, defect, Severity.WATCH, Bars.NOTHING)


def test_raised_by_a_carriers_rule_later__the_regulations_floor_is_not_forgotten(yard: Yard) -> None:
    """A later, worse finding by a rule without a regulation must not take the floor away."""
    defect = yard.finding("tires.duals.contact", PLACE, "object_wedged")
    Defect.objects.filter(pk=defect.pk).update(severity="watch", bars="nothing", regulation_severity="before_next_use")
    yard.finding("tires.duals.contact", PLACE, "object_wedged", by="sol")

    defect.refresh_from_db()
    assert (defect.severity, defect.regulation_severity) == ("before_next_use", "before_next_use")


def test_freight_barred_by_a_regulation__cannot_be_let_on_by_a_grade(yard: Yard) -> None:
    defect = yard.finding("inside.cleanliness", finding="residue_or_odor")
    assert (defect.bars, defect.regulation_severity) == ("food", "next_shop_visit")
    for bars in (Bars.NOTHING, Bars.COLD_FREIGHT):
        refused(Conflict, "below_regulation", yard, defect, Severity.NEXT_SHOP_VISIT, bars)


def test_on_an_officers_notice__is_not_lowered(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    yard.officers_order(defect)
    refused(Conflict, "on_officers_order", yard, defect, Severity.WATCH, Bars.NOTHING)
    yard.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)


def test_without_a_reason__refused(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    found = refused(
        Invalid, "required_fields_missing", yard, defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT, reason=" "
    )
    assert [problem.pointer for problem in found.problems] == ["/reason"]


@pytest.mark.parametrize("by", ["greta", "iris", "vera", "cal"])
def test_nobody_but_a_foreman__grades(yard: Yard, by: str) -> None:
    refused(NotAllowed, "role_not_allowed", yard, yard.fault(), by=by)
    refused(NotAllowed, "role_not_allowed", yard, yard.finding(TAPE, finding="damaged"), by=by)
