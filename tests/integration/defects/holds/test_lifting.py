"""Lifting a hold: after the repair, by a second person; an officer's order apart; nobody overrides."""

import json
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from common.errors import Conflict, Invalid, NotAllowed, NotFound, PreconditionFailed
from common.ids import uuid7
from common.messages import Message, render
from defects.enums import Bars, DefectState, HoldKind, Severity
from defects.models import Defect, Hold
from defects.rules.walkarounds.body import CheckBody, CorrectionBody
from defects.selectors.defects.naming import names_of_hold
from defects.services.holds.by_person import place_hold
from defects.services.holds.lifting import lift_hold
from defects.services.records.signatures import Signing
from fleet.enums import SignatureMethod
from fleet.models import HistoryEntry, Notification, Unit
from fleet.selectors.records.history_sentences import sentence_of_entry
from fleet.services.notifications.composing import sentence_of
from tests.factories.fleet import history_of, make_site
from tests.support.refusals import refused, refuses
from tests.support.yard import HOUR, TAPE, Yard, decide, hold_version_of, photo_on, stroke_check


def repaired(yard: Yard, by: str = "greta") -> Hold:
    defect = yard.stroke()
    yard.repaired_stroke(defect, by)
    return Hold.objects.get(defect=defect)


def test_signed_before_the_hold_was_placed__refused(yard: Yard) -> None:
    hold = repaired(yard)
    early = Signing(yard["hob"], SignatureMethod.DRAWN, hold.placed_at - HOUR, "I lift it.")
    refuses(Invalid, "instant_too_early", yard.lift, hold, signing=early)


def test_repaired_and_a_second_person__lifted_with_a_signature(yard: Yard) -> None:
    hold = repaired(yard)

    yard.lift(hold)

    hold.refresh_from_db()
    assert (hold.lifted_by, hold.lift_flag, hold.lifted_at) == (yard["hob"], "", yard.now)
    assert hold.lift_signature is not None
    assert (hold.lift_signature.purpose, hold.lift_signature.signer) == ("lift", yard["hob"])
    assert history_of(yard.trailer)[-1] == "hold_lifted"


def test_before_the_repair__refused_with_the_defects(yard: Yard) -> None:
    defect = yard.stroke()
    found = refuses(Conflict, "repairs_outstanding", yard.lift, Hold.objects.get(defect=defect))
    assert found.facts["defects"] == [defect.number]


def test_what_a_hold_is_for__said_in_both_languages_wherever_the_hold_is_spoken_of(yard: Yard) -> None:
    """By the name of the fault, or in the words of whoever placed it; never by a number alone."""
    defect = yard.stroke()
    hold = Hold.objects.get(defect=defect)
    english = "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in"
    spanish = "Carrera de la varilla de empuje, eje 2 derecha: 2.31 in, límite 2 in"
    assert names_of_hold(hold) == {"en": english, "es": spanish}
    smell = place_hold(
        unit_id=yard.trailer.pk, defect_id=None, reason="a smell of burning.", actor=yard["hob"], now=yard.now
    )
    assert names_of_hold(smell) == {"en": "a smell of burning.", "es": "a smell of burning."}
    found = refuses(Conflict, "repairs_outstanding", yard.lift, hold)
    shown = f"{defect.number} {spanish}"
    assert shown in render(Message(found.code, found.facts), "es")
    yard.repaired_stroke(defect)
    yard.lift(hold)
    lifted = json.loads(HistoryEntry.objects.filter(kind="hold_lifted").get().content.body)
    assert sentence_of_entry("hold_lifted", lifted, "es").startswith(f"{spanish}. ")


def test_reopened_since__refused(yard: Yard) -> None:
    hold = repaired(yard)
    yard.reopen(Defect.objects.get(holds=hold))
    refuses(Conflict, "repairs_outstanding", yard.lift, hold)


def test_lowered_by_a_grade__hold_stands_until_the_repair(yard: Yard) -> None:
    defect = yard.stroke()
    yard.regrade(defect, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)
    hold = Hold.objects.get(defect=defect)
    refuses(Conflict, "repairs_outstanding", yard.lift, hold)
    yard.repaired_stroke(defect)
    yard.lift(hold)


def test_closed_by_the_review_before_it_was_lifted__can_still_be_lifted(yard: Yard) -> None:
    hold = repaired(yard)
    yard.review()
    assert Defect.objects.get(holds=hold).state == "closed"
    yard.lift(hold)


@pytest.mark.parametrize("worker", ["signer", "worked", "on the certificate", "superseding"])
def test_whoever_did_the_work__does_not_lift(yard: Yard, worker: str) -> None:
    defect = yard.stroke()
    if worker == "worked":
        defect.worked_by.add(yard["hob"])
    if worker == "signer":
        yard.repaired_stroke(defect, "hob")
    elif worker == "on the certificate":
        yard.repaired_stroke(defect, worked_by=[yard["hob"].pk])
    else:
        yard.repaired_stroke(defect, "hob" if worker == "superseding" else "greta")
    if worker == "superseding":
        yard.supersede(defect, "greta", measured=yard.measured("1.60"))
    hold = Hold.objects.get(defect=defect)

    refuses(NotAllowed, "second_person_lifts", yard.lift, hold)
    yard.lift(hold, "ida")
    hold.refresh_from_db()
    assert (hold.lifted_by, hold.lift_flag) == (yard["ida"], "")


# Foremen of other sites


@pytest.fixture
def two_shops(yard: Yard) -> Yard:
    """Hob leads the shop where the trailer is at home, Ida another one."""
    here, there = make_site("North Yard"), make_site("River Dock")
    Unit.objects.filter(pk=yard.trailer.pk).update(home_site=here)
    for name, site in (("hob", here), ("ida", there)):
        yard[name].roles.update(site=site)
        yard[name].sited_roles = frozenset({("foreman", site.pk)})
    return yard


def test_lifted_by_a_foreman_of_another_site__the_home_foreman_is_notified_at_once(two_shops: Yard) -> None:
    hold = repaired(two_shops)
    two_shops.lift(hold, "ida")

    [notification] = Notification.objects.filter(kind="hold_lifted")
    assert (notification.person, notification.urgent, notification.subject_id) == (two_shops["hob"], True, hold.pk)
    said = sentence_of(notification, language="en", zone=ZoneInfo("America/Chicago"))
    assert said.startswith(f"Ida Fell, not a foreman of your site, lifted hold {hold.number} on unit LR-46, Fri 6 Mar")
    assert ": Pushrod stroke, axle 2 right: 2.31 in, limit 2 in. Read the reason" in said


def test_lifted_by_the_home_foreman__nobody_is_notified(two_shops: Yard) -> None:
    two_shops.lift(repaired(two_shops))
    assert not Notification.objects.filter(kind="hold_lifted").exists()


def test_carrier_too_small_for_two__lifts_alone_and_is_flagged(yard: Yard) -> None:
    decide("small_carrier_lift", value=True, by=yard["vera"])
    alone = repaired(yard, "hob")

    found = refuses(Conflict, "new_evidence_needed", yard.lift, alone)
    assert found.facts["defects"] == [alone.defect.number if alone.defect else 0]
    yard.walk("hob", checks=[stroke_check("1.64", "fine")])
    yard.lift(alone)

    alone.refresh_from_db()
    assert alone.lift_flag == "same_person"
    [again] = yard.walk("sol", checks=[stroke_check("2.40")])
    apart = Hold.objects.get(defect=again)
    yard.repaired_stroke(again, "greta")
    yard.lift(apart)
    apart.refresh_from_db()
    assert apart.lift_flag == ""


def test_small_carrier_alone__a_photo_from_before_the_certificate_shows_nothing_new(yard: Yard) -> None:
    decide("small_carrier_lift", value=True, by=yard["vera"])
    defect = yard.stroke()
    photo_on(defect, by=yard["hob"])
    yard.repaired_stroke(defect, "hob")
    hold = Hold.objects.get(defect=defect)
    refuses(Conflict, "new_evidence_needed", yard.lift, hold)
    photo_on(defect, "b" * 64, by=yard["hob"], at=yard.later())
    assert yard.lift(hold).lift_flag == "same_person"


def test_policy_says_no_again__second_person_needed(yard: Yard) -> None:
    decide("small_carrier_lift", value=False, by=yard["vera"])
    refuses(NotAllowed, "second_person_lifts", yard.lift, repaired(yard, "hob"))


@pytest.mark.parametrize("by", ["greta", "iris", "vera", "cal"])
def test_nobody_but_a_foreman__lifts(yard: Yard, by: str) -> None:
    refuses(NotAllowed, "role_not_allowed", yard.lift, repaired(yard), by)


def test_signed_by_another__refused(yard: Yard) -> None:
    refuses(NotAllowed, "sign_yourself", yard.lift, repaired(yard), "hob", signer="ida")


def test_defect_changed_since_it_was_seen__precondition_failed(yard: Yard) -> None:
    hold = repaired(yard)
    seen = hold_version_of(hold)
    yard.reopen(Defect.objects.get(holds=hold))
    with pytest.raises(PreconditionFailed):
        lift_hold(
            hold_id=hold.pk, version=seen, signing=yard.signing(yard["hob"]), reason="", actor=yard["hob"], now=yard.now
        )


def test_unknown_hold__not_found(yard: Yard) -> None:
    with pytest.raises(NotFound):
        lift_hold(
            hold_id=uuid7(), version=1, signing=yard.signing(yard["hob"]), reason="", actor=yard["hob"], now=yard.now
        )


# Officers' orders


def test_officers_order__only_when_every_repair_on_the_notice_is_done(yard: Yard) -> None:
    stroke, tape = yard.stroke(), yard.finding(TAPE, finding="damaged")
    order = yard.officers_order(stroke, tape)

    assert refuses(Conflict, "repairs_outstanding", yard.lift, order).facts["defects"] == [stroke.number, tape.number]
    yard.repaired_stroke(stroke)
    assert refuses(Conflict, "repairs_outstanding", yard.lift, order).facts["defects"] == [tape.number]
    yard.certify(tape, "sam", photo=photo_on(tape))
    yard.lift(order)

    order.refresh_from_db()
    assert order.lifted_by == yard["hob"]
    assert Hold.objects.get(defect=stroke).lifted_at is None


def test_officers_order__one_unit_answers_for_its_own_repairs_alone(yard: Yard) -> None:
    stroke = yard.stroke()
    horn = yard.finding("cab.horn", finding="silent", unit=yard.tractor)
    order = yard.officers_order(stroke, horn)
    yard.repaired_stroke(stroke)
    yard.lift(order)
    order.refresh_from_db()
    horn.refresh_from_db()
    assert (order.lifted_by, horn.state) == (yard["hob"], DefectState.REPORTED)


def test_officers_order_without_a_repair_on_record__is_not_lifted(yard: Yard) -> None:
    refuses(Conflict, "order_without_repairs", yard.lift, yard.officers_order(), reason="all done, I am told")


def test_officers_order_by_whoever_did_the_work__refused(yard: Yard) -> None:
    stroke = yard.stroke()
    order = yard.officers_order(stroke)
    yard.repaired_stroke(stroke, "hob")
    refuses(NotAllowed, "second_person_lifts", yard.lift, order)


def test_word_of_an_order__is_never_used_for_the_carriers_own_hold(yard: Yard) -> None:
    yard.stroke()
    assert set(Hold.objects.values_list("kind", flat=True)) == {HoldKind.CARRIER}


# Holds that a person places


def test_placed_by_a_person__told_recorded_and_lifted_only_with_a_reason(yard: Yard) -> None:
    yard.later()
    hold = place_hold(
        unit_id=yard.trailer.pk, defect_id=None, reason="smells of fuel", actor=yard["vera"], now=yard.now
    )

    assert (hold.number > 0, hold.kind, hold.placed_by) == (True, "carrier", yard["vera"])
    told = Notification.objects.filter(subject_id=hold.pk)
    assert {notification.person.name for notification in told} == {"Hob Anselm", "Ida Fell", "Cal Wick"}
    assert {notification.facts["what"] for notification in told} == {"smells of fuel"}
    assert history_of(yard.trailer)[-1] == "hold_placed"
    found = refuses(Invalid, "required_fields_missing", yard.lift, hold)
    assert [problem.pointer for problem in found.problems] == ["/reason"]
    yard.lift(hold, reason="washed and looked over: a spill at the pump")
    hold.refresh_from_db()
    assert hold.lift_reason == "washed and looked over: a spill at the pump"


def test_placed_for_a_defect__waits_for_its_repair(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    hold = place_hold(
        unit_id=yard.trailer.pk, defect_id=defect.pk, reason="hangs", actor=yard["hob"], now=yard.later(HOUR)
    )
    refuses(Conflict, "repairs_outstanding", yard.lift, hold, reason="looks fine")
    with refused(Conflict, "defect_held_already"):
        place_hold(unit_id=yard.trailer.pk, defect_id=defect.pk, reason="again", actor=yard["hob"], now=yard.now)
    yard.certify(defect, "sam", photo=photo_on(defect))
    yard.lift(hold)


def test_placed_for_a_defect_of_another_unit_or_a_closed_one__refused(yard: Yard) -> None:
    horn = yard.finding("cab.horn", finding="silent", unit=yard.tractor)
    given: dict[str, Any] = {"unit_id": yard.trailer.pk, "reason": "x", "actor": yard["hob"], "now": yard.now}
    with refused(Invalid, "defect_not_of_unit"):
        place_hold(defect_id=horn.pk, **given)
    yard.certify(horn, "sam")
    with refused(Conflict, "defect_not_open"):
        place_hold(defect_id=horn.pk, **{**given, "unit_id": yard.tractor.pk})


@pytest.mark.parametrize("by", ["greta", "iris", "cal"])
def test_nobody_but_foreman_and_compliance__places_one(yard: Yard, by: str) -> None:
    with pytest.raises(NotAllowed):
        place_hold(unit_id=yard.trailer.pk, defect_id=None, reason="x", actor=yard[by], now=yard.now)
    assert not Hold.objects.exists()


def test_corrected_on_the_spot__the_hold_has_another_version(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.turn", "left", finding="out")
    hold = Hold.objects.get(defect=defect)
    seen = hold_version_of(hold)
    done = CorrectionBody(by="Iris Quade", what="bulb changed", photo="a" * 64)
    corrected = CheckBody(point="lamps.trailer.turn", answer="corrected", place="left", value="", correction=done)
    yard.walk(checks=[corrected])
    defect.refresh_from_db()
    assert defect.state == "certified"
    assert hold_version_of(hold) != seen
