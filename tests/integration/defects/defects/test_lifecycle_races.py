"""Two people at once: one is told to look again. Each with the lock taken out, to see it fail."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, BrokenBarrierError
from typing import Any

import pytest
from django.db import DatabaseError, connections

from common.errors import Conflict, DomainError, PreconditionFailed
from common.ids import uuid7
from defects.enums import Bars, Severity
from defects.models import Defect, DriverReview, Hold, Report
from defects.selectors.reviews import due_reviews
from defects.services import reviews
from defects.services.certificates import certify as certifying
from defects.services.certificates.certify import certify_repaired
from defects.services.defects import grading
from defects.services.defects.evidence import Statement
from defects.services.defects.grading import Grade, regrade
from defects.services.holds import lifting
from defects.services.holds.lifting import lift_hold
from defects.services.records.measurements import Measured
from defects.services.records.signatures import signature_of
from defects.services.reviews import review_units
from defects.services.walkarounds import outcome
from fleet.services.records import unit_of_work
from tests.support.unlocked import read_only
from tests.support.yard import MINUTE, TAPE, Yard, hold_version_of, reports_of, version_of

pytestmark = pytest.mark.timeout(120)


class Meeting:
    """Where both wait for each other, a moment at most: with the lock the second never comes."""

    def __init__(self) -> None:
        self.barrier = Barrier(2)

    def before(self, function: Callable[..., Any]) -> Callable[..., Any]:
        def met(*args: Any, **kwargs: Any) -> Any:
            try:
                self.barrier.wait(0.7)
            except BrokenBarrierError:
                self.barrier.reset()
            return function(*args, **kwargs)

        return met


def together(*runs: Callable[[], Any]) -> list[Any]:
    """What each returned or raised, on connections of their own."""

    def start(run: Callable[[], Any]) -> Any:
        try:
            return run()
        except (DomainError, DatabaseError) as error:
            return error
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(runs)) as pool:
        return [future.result() for future in [pool.submit(start, run) for run in runs]]


def take_the_lock_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same code without its lock: chains are read, not locked."""
    monkeypatch.setattr(unit_of_work, "lock_units", read_only)


def errors(results: list[Any]) -> list[Any]:
    return [result for result in results if isinstance(result, Exception)]


# Two foremen lifting


def lifted_by_two(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> tuple[Hold, list[Any]]:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    hold, now = Hold.objects.get(defect=defect), yard.later()
    version = hold_version_of(hold)
    monkeypatch.setattr(lifting, "signature_of", Meeting().before(signature_of))

    def by(name: str) -> Callable[[], Hold]:
        return lambda: lift_hold(
            hold_id=hold.pk, version=version, signing=yard.signing(yard[name]), reason="", actor=yard[name], now=now
        )

    return hold, together(by("hob"), by("ida"))


def test_two_foremen_lift_at_once__one_does_and_the_other_looks_again(
    committed_yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    hold, results = lifted_by_two(committed_yard, monkeypatch)
    [refused] = errors(results)
    assert isinstance(refused, PreconditionFailed | Conflict)
    hold.refresh_from_db()
    winner = next(result for result in results if isinstance(result, Hold))
    assert hold.lifted_by_id == winner.lifted_by_id


def test_two_foremen_without_the_lock__only_the_database_stops_the_second(
    committed_yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    take_the_lock_out(monkeypatch)
    _, results = lifted_by_two(committed_yard, monkeypatch)
    [stopped] = errors(results)
    assert isinstance(stopped, DatabaseError)


# A certificate against another grade


def certified_against_regraded(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> tuple[Defect, list[Any]]:
    defect = yard.stroke()
    version, now = version_of(defect), yard.later(2 * MINUTE)
    meeting = Meeting()
    monkeypatch.setattr(certifying, "signature_of", meeting.before(signature_of))
    monkeypatch.setattr(grading, "_set", meeting.before(grading._set))
    measured = Measured(yard.measured().value, "in", now - MINUTE)
    greta = yard["greta"]
    statement = Statement("adjuster replaced", yard.signing(greta), measured=measured, worked_by=[greta.pk])
    now = yard.now

    def certify() -> Any:
        return certify_repaired(defect_id=defect.pk, version=version, statement=statement, actor=yard["greta"], now=now)

    def grade() -> Any:
        given = Grade(Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)
        return regrade(defect_id=defect.pk, version=version, new_grade=given, reason="seen", actor=yard["hob"], now=now)

    results = together(certify, grade)
    defect.refresh_from_db()
    return defect, results


def test_certificate_against_another_grade__one_of_them_looks_again(
    committed_yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    defect, results = certified_against_regraded(committed_yard, monkeypatch)
    [refused] = errors(results)
    assert isinstance(refused, PreconditionFailed)
    assert (defect.state, defect.severity) in {("certified", "do_not_move"), ("reported", "before_next_use")}
    assert (defect.state == "certified") == (defect.current_certificate is not None)


def test_certificate_against_another_grade_without_the_lock__one_is_lost(
    committed_yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    take_the_lock_out(monkeypatch)
    _, results = certified_against_regraded(committed_yard, monkeypatch)
    assert [type(error).__name__ for error in errors(results)] == ["IntegrityError"]


# A review against a new report


def reviewed_against_reported(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> tuple[Report, list[Any]]:
    certificate = yard.repaired_stroke(yard.stroke())
    [report] = reports_of(yard.trailer)
    now = yard.later()
    meeting = Meeting()
    monkeypatch.setattr(reviews, "signature_of", meeting.before(signature_of))
    monkeypatch.setattr(outcome, "record_corrections", meeting.before(outcome.record_corrections))

    def sign() -> list[DriverReview]:
        rows, _ = review_units(
            act=uuid7(),
            units=[yard.trailer.pk],
            reports=[report.pk],
            certificates=[certificate.pk],
            signing=yard.signing(yard["sol"]),
            actor=yard["sol"],
            now=now,
        )
        return rows

    return report, together(sign, lambda: yard.finding(TAPE, finding="damaged", at=now - MINUTE / 2))


def test_review_against_a_new_report__the_new_one_is_never_taken_for_reviewed(
    committed_yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    report, results = reviewed_against_reported(committed_yard, monkeypatch)
    signed = [result for result in results if isinstance(result, list)]
    assert errors(results) in ([], [error for error in results if isinstance(error, Conflict)])
    new = Report.objects.exclude(pk=report.pk).get()
    assert not DriverReview.objects.filter(reports=new).exists()
    assert new in due_reviews([committed_yard.trailer.pk])[committed_yard.trailer.pk].reports
    assert DriverReview.objects.filter(reports=report).count() == len(signed)


def test_review_against_a_new_report_without_the_lock__their_histories_collide(
    committed_yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    take_the_lock_out(monkeypatch)
    _, results = reviewed_against_reported(committed_yard, monkeypatch)
    assert [type(error).__name__ for error in errors(results)] == ["IntegrityError"]
