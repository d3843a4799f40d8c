"""The next driver's review (396.13): exactly what is owed, for every unit of the combination, in one signing act."""

import datetime as dt
from typing import Any

import pytest

from common.errors import Conflict, NotAllowed, NotFound
from common.ids import uuid7
from defects.enums import OPEN_DEFECT_STATES, Authority, Bars, Severity
from defects.models import Certificate, Defect, DriverReview, Report
from defects.selectors.reviews import due_reviews
from defects.services.records.signatures import Signing
from fleet.enums import SignatureMethod
from fleet.models import HistoryEntry
from tests.factories.fleet import HOUR, history_of
from tests.support.refusals import refuses
from tests.support.yard import HORN, TAPE, Yard, photo_on, reports_of, stroke_check


def test_reports_and_certificates_seen__named_and_the_defects_closed(yard: Yard) -> None:
    defect = yard.stroke()
    certificate = yard.repaired_stroke(defect)

    [row] = yard.review()

    assert (list(row.reports.all()), list(row.certificates.all())) == (reports_of(yard.trailer), [certificate])
    defect.refresh_from_db()
    assert (defect.state, defect.closed_at) == ("closed", yard.now)
    assert history_of(yard.trailer)[-2:] == ["driver_reviewed", "defect_closed"]


def test_both_units_of_the_combination__one_signature_a_row_each(yard: Yard) -> None:
    yard.repaired_stroke(yard.stroke())
    yard.certify(yard.finding(HORN, finding="silent", unit=yard.tractor), "sam")

    rows = yard.review(yard.tractor, yard.trailer)

    assert {row.unit_id for row in rows} == {yard.tractor.pk, yard.trailer.pk}
    assert len({row.signature_id for row in rows}) == 1
    assert [row.reports.count() for row in rows] == [1, 1]
    assert not Defect.objects.exclude(state="closed").exists()


def test_every_report_since_the_last_review__not_the_last_one_alone(yard: Yard) -> None:
    first, second = yard.stroke(), yard.finding(TAPE, finding="damaged", by="sol")
    yard.repaired_stroke(first)
    yard.certify(second, "sam", photo=photo_on(second))
    assert len(due_reviews([yard.trailer.pk])[yard.trailer.pk].reports) == 2

    yard.review()

    third = yard.finding(TAPE, finding="damaged")
    owed = due_reviews([yard.trailer.pk])[yard.trailer.pk]
    assert [report.pk for report in owed.reports] == [third.report_id]


def test_report_with_nothing_found__owes_no_review_and_nothing_to_review_is_fine(yard: Yard) -> None:
    yard.walk(checks=[])
    assert not Report.objects.get().review_due

    [row] = yard.review()

    assert (row.reports.count(), row.certificates.count()) == (0, 0)
    assert history_of(yard.trailer)[-1] == "driver_reviewed"


def test_defect_without_certificate__refused_with_the_list(yard: Yard) -> None:
    stroke, tape = yard.stroke(), yard.finding(TAPE, finding="damaged")
    yard.repaired_stroke(stroke)
    assert refuses(Conflict, "certificate_missing", yard.review).facts["defects"] == [tape.number]
    assert Defect.objects.get(pk=stroke.pk).state == "certified"


def test_watch_alone__is_noted_and_owes_neither_certificate_nor_review(yard: Yard) -> None:
    defect = yard.finding("approach.stance", finding="new_lean")
    assert (defect.authority, defect.severity, defect.listing) == ("statutory", "watch", "noted")
    owed = due_reviews([yard.trailer.pk])[yard.trailer.pk]
    assert (owed.reports, owed.missing) == ([], [])
    assert Defect.objects.get(pk=defect.pk).state == "reported"


def test_carrier_defect_alone__owes_no_review(yard: Yard) -> None:
    yard.finding("doors.hold-backs", "left", "broken")
    assert due_reviews([yard.trailer.pk])[yard.trailer.pk].reports == []


def test_free_text_fault__missing_until_it_is_graded_and_certified(yard: Yard) -> None:
    defect = yard.fault()
    assert refuses(Conflict, "certificate_missing", yard.review).facts["defects"] == [defect.number]
    yard.grade(defect, Severity.WATCH, Bars.NOTHING, Authority.STATUTORY)
    assert refuses(Conflict, "certificate_missing", yard.review).facts["defects"] == [defect.number]
    yard.certify(defect, photo=photo_on(defect))
    yard.review()
    assert Defect.objects.get(pk=defect.pk).state == "closed"


def test_certificate_whose_limit_passed__missing_again(yard: Yard) -> None:
    tape = yard.finding(TAPE, finding="damaged")
    yard.dismiss(tape, photo=photo_on(tape))
    yard.review()
    yard.regrade(tape, Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)
    assert refuses(Conflict, "certificate_missing", yard.review).facts["defects"] == [tape.number]


def test_certified_after_a_review_of_its_report__the_certificate_alone_is_owed(yard: Yard) -> None:
    tape = yard.finding(TAPE, finding="damaged")
    yard.dismiss(tape, photo=photo_on(tape))
    yard.review()
    repaired = yard.certify(tape, "sam", photo="a" * 64)

    [row] = yard.review(by="iris")

    assert (row.reports.count(), list(row.certificates.all())) == (0, [repaired])
    assert Defect.objects.get(pk=tape.pk).state == "closed"


@pytest.mark.parametrize("wrong", ["less", "more", "other certificate"])
def test_not_exactly_what_is_due__refused_with_what_is(yard: Yard, wrong: str) -> None:
    certificate = yard.repaired_stroke(yard.stroke())
    report = reports_of(yard.trailer)[0]
    cases: dict[str, dict[str, Any]] = {
        "less": {"reports": []},
        "more": {"reports": [report.pk, uuid7()]},
        "other certificate": {"certificates": [uuid7()]},
    }
    found = refuses(Conflict, "review_not_current", yard.review, **cases[wrong])
    assert found.facts == {"reports": [str(report.pk)], "certificates": [str(certificate.pk)]}


def test_superseded_meanwhile__what_was_seen_no_longer_counts(yard: Yard) -> None:
    defect = yard.stroke()
    seen = yard.repaired_stroke(defect)
    yard.supersede(defect, measured=yard.measured("1.60"))
    refuses(Conflict, "review_not_current", yard.review, certificates=[seen.pk])


def test_unit_no_longer_in_the_combination__owes_nothing_to_this_driver(yard: Yard) -> None:
    """396.13(c): not for defects on a towed unit that is no longer part of the combination."""
    yard.stroke()
    yard.certify(yard.finding(HORN, finding="silent", unit=yard.tractor), "sam")
    [row] = yard.review(yard.tractor)
    assert row.unit == yard.tractor


def test_driver_who_takes_the_towed_unit_after_a_swap__owes_it(yard: Yard) -> None:
    yard.repaired_stroke(yard.stroke(by="iris"))
    yard.review(yard.tractor, by="iris")

    [row] = yard.review(yard.trailer, by="sol")

    assert (row.person, row.reports.count()) == (yard["sol"], 1)


def test_same_driver__may_review_the_own_report(yard: Yard) -> None:
    yard.repaired_stroke(yard.stroke(by="iris"))
    [row] = yard.review(by="iris")
    assert row.person == yard["iris"]


def test_corrected_on_the_spot_by_the_driver__closed_by_the_review_that_is_owed(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")
    yard.certify(defect, "sol", agent_reason="changed the bulb")
    yard.review(by="sol")
    assert Defect.objects.get(pk=defect.pk).state == "closed"


def test_sent_again_under_its_name__the_same_rows(yard: Yard) -> None:
    certificate = yard.repaired_stroke(yard.stroke())
    report, act = reports_of(yard.trailer)[0], uuid7()
    given: dict[str, Any] = {"act": act, "reports": [report.pk], "certificates": [certificate.pk]}

    first = yard.review(**given)
    kinds = history_of(yard.trailer)

    assert yard.review(**given) == first
    assert (DriverReview.objects.count(), history_of(yard.trailer)) == (1, kinds)
    assert first[0].signature_id == act


def test_another_review_under_its_name__refused(yard: Yard) -> None:
    act = uuid7()
    yard.review(act=act)
    refuses(Conflict, "review_differs", yard.review, act=act, reports=[uuid7()])
    refuses(NotFound, "not_found", yard.review, act=act, by="iris")


@pytest.mark.parametrize("by", ["greta", "hob", "vera", "cal"])
def test_nobody_but_a_driver__reviews(yard: Yard, by: str) -> None:
    refuses(NotAllowed, "role_not_allowed", yard.review, by=by)


def test_signed_by_another__refused(yard: Yard) -> None:
    refuses(NotAllowed, "sign_yourself", yard.review, signer="iris")


def test_late_report_from_before_the_review__is_owed_all_the_same(yard: Yard) -> None:
    defect = yard.stroke()
    before = yard.now
    yard.repaired_stroke(defect)
    yard.review()

    yard.walk("sol", checks=[stroke_check("2.31")], at=before)

    owed = due_reviews([yard.trailer.pk])[yard.trailer.pk]
    assert len(owed.reports) == 1
    [row] = yard.review(by="iris")
    assert row.reports.count() == 1
    assert not Defect.objects.filter(state__in=OPEN_DEFECT_STATES).exists()
    assert Certificate.objects.count() == 1


@pytest.mark.parametrize("before", [HOUR, 1440 * HOUR])
def test_signed_before_what_was_seen__counts_as_of_receipt_and_is_flagged(yard: Yard, before: dt.timedelta) -> None:
    yard.repaired_stroke(yard.stroke())
    [report] = reports_of(yard.trailer)
    early = Signing(yard["sol"], SignatureMethod.DRAWN, report.performed_at - before, "I saw them.")

    [row] = yard.review(signing=early)

    entries = HistoryEntry.objects.filter(unit=yard.trailer).select_related("content").order_by("sequence")
    reviewed, closed = list(entries)[-2:]
    assert (row.reviewed_at, reviewed.performed_at, closed.performed_at) == (yard.now, yard.now, yard.now)
    assert "signed_at_implausible" in reviewed.content.body


def test_signed_by_a_clock_a_minute_behind__counts_from_the_certificate_and_is_not_flagged(yard: Yard) -> None:
    certificate = yard.repaired_stroke(yard.stroke())
    behind = Signing(
        yard["sol"], SignatureMethod.DRAWN, certificate.certified_at - dt.timedelta(minutes=1), "I saw them."
    )
    [row] = yard.review(signing=behind)
    assert row.reviewed_at == certificate.certified_at
