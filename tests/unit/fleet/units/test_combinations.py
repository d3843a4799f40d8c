"""What a driver's having units together means, from what is recorded of them."""

import datetime as dt
from uuid import UUID

import pytest

from fleet.rules.units.combinations import Span, TakeOver, is_combination, plan_take_over

T0 = dt.datetime(2026, 3, 6, 8, tzinfo=dt.UTC)
HOUR = dt.timedelta(hours=1)
TRACTOR, OTHER_TRACTOR, TRAILER, OTHER_TRAILER, COOLING = (UUID(int=number) for number in range(1, 6))
FIRST, SECOND = UUID(int=101), UUID(int=102)
KINDS = {
    TRACTOR: "tractor",
    OTHER_TRACTOR: "tractor",
    TRAILER: "trailer",
    OTHER_TRAILER: "trailer",
    COOLING: "cooling_unit",
}


def kinds(*units: UUID) -> dict[UUID, str]:
    return {unit: KINDS[unit] for unit in units}


def spans(coupling: UUID, *units: UUID, start: dt.datetime = T0, end: dt.datetime | None = None) -> list[Span]:
    return [Span(coupling, unit, start, end) for unit in units]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        (["tractor", "trailer"], True),
        (["trailer", "tractor"], True),
        (["tractor", "trailer", "trailer", "trailer"], True),
        (["tractor"], False),
        (["trailer"], False),
        (["tractor", "tractor", "trailer"], False),
        (["tractor", "trailer", "cooling_unit"], False),
        (["tractor", *["trailer"] * 4], False),
        ([], False),
    ],
)
def test_combination__is_one_tractor_with_one_to_three_trailers(given: list[str], expected: bool) -> None:
    assert is_combination(given) is expected


def test_nothing_recorded__a_new_coupling_begins() -> None:
    plan = plan_take_over(kinds(TRACTOR, TRAILER), [], T0)
    assert plan == TakeOver(None, frozenset(), frozenset(), frozenset({TRACTOR, TRAILER}), T0, None)


def test_cooling_unit_on_the_trailer__is_not_coupled() -> None:
    plan = plan_take_over(kinds(TRACTOR, TRAILER, COOLING), [], T0)
    assert plan is not None
    assert plan.members == {TRACTOR, TRAILER}


def test_same_combination_recorded__stands() -> None:
    plan = plan_take_over(kinds(TRACTOR, TRAILER), spans(FIRST, TRACTOR, TRAILER), T0 + HOUR)
    assert plan is not None
    assert plan.stands == FIRST
    assert plan.ends == frozenset()


def test_part_of_a_combination__does_not_claim_its_end() -> None:
    plan = plan_take_over(kinds(TRAILER), spans(FIRST, TRACTOR, TRAILER), T0 + HOUR)
    assert plan is not None
    assert plan.stands == FIRST


def test_unit_alone_and_nothing_recorded__means_nothing() -> None:
    assert plan_take_over(kinds(TRAILER), [], T0) is None
    assert plan_take_over(kinds(COOLING), [], T0) is None
    assert plan_take_over({}, [], T0) is None


def test_trailer_coupled_elsewhere__is_taken_over() -> None:
    at = T0 + HOUR
    plan = plan_take_over(kinds(OTHER_TRACTOR, TRAILER), spans(FIRST, TRACTOR, TRAILER), at)
    assert plan == TakeOver(
        stands=None,
        ends=frozenset({FIRST}),
        released=frozenset({TRACTOR, TRAILER}),
        members=frozenset({OTHER_TRACTOR, TRAILER}),
        starts_at=at,
        ends_at=None,
    )


def test_both_units_recorded_elsewhere__both_couplings_end() -> None:
    recorded = spans(FIRST, TRACTOR, OTHER_TRAILER) + spans(SECOND, OTHER_TRACTOR, TRAILER)
    plan = plan_take_over(kinds(TRACTOR, TRAILER), recorded, T0 + HOUR)
    assert plan is not None
    assert plan.ends == {FIRST, SECOND}
    assert plan.released == {TRACTOR, OTHER_TRACTOR, TRAILER, OTHER_TRAILER}


def test_late_report__ends_where_a_later_coupling_of_one_unit_begins() -> None:
    later = spans(SECOND, OTHER_TRACTOR, TRAILER, start=T0 + 2 * HOUR)
    plan = plan_take_over(kinds(TRACTOR, TRAILER), later, T0)
    assert plan is not None
    assert (plan.starts_at, plan.ends_at) == (T0, T0 + 2 * HOUR)
    assert plan.ends == frozenset()


def test_report_at_the_very_instant_of_a_recorded_coupling__begins_right_after_it() -> None:
    plan = plan_take_over(kinds(OTHER_TRACTOR, TRAILER), spans(FIRST, TRACTOR, TRAILER), T0)
    assert plan is not None
    assert plan.starts_at == T0 + dt.timedelta(microseconds=1)
    assert plan.ends == {FIRST}


def test_third_report_of_one_instant__begins_after_the_second() -> None:
    tick = dt.timedelta(microseconds=1)
    recorded = spans(FIRST, TRACTOR, TRAILER, end=T0 + tick) + spans(SECOND, TRACTOR, OTHER_TRAILER, start=T0 + tick)
    plan = plan_take_over(kinds(OTHER_TRACTOR, OTHER_TRAILER), recorded, T0 + tick)
    assert plan is not None
    assert (plan.starts_at, plan.ends_at, plan.ends) == (T0 + 2 * tick, None, frozenset({SECOND}))
    again = plan_take_over(kinds(TRACTOR, TRAILER), recorded, T0)
    assert again is not None
    assert (again.starts_at, again.ends_at, again.ends) == (T0 + 2 * tick, None, frozenset({SECOND}))


@pytest.mark.parametrize(("at", "covered"), [(T0 - HOUR, False), (T0, True), (T0 + HOUR, False)])
def test_span__holds_its_beginning_and_not_its_end(at: dt.datetime, covered: bool) -> None:
    (span,) = spans(FIRST, TRACTOR, end=T0 + HOUR)
    assert span.covers(at) is covered


def test_ended_coupling__is_not_taken_over() -> None:
    ended = spans(FIRST, TRACTOR, TRAILER, end=T0 + HOUR)
    plan = plan_take_over(kinds(OTHER_TRACTOR, TRAILER), ended, T0 + HOUR)
    assert plan is not None
    assert plan.ends == frozenset()
