"""Whatever phones hand in, in whatever order: nothing is raised, nothing found is lost, and no defect gets milder."""

from collections import Counter
from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from defects.api.walkarounds.receipts import receipt_answer
from defects.enums import OPEN_DEFECT_STATES, bars_rank, rank
from defects.models import Certificate, Defect, Hold, Measurement, Report, Sighting
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import AxleFacts, UnitFacts
from defects.rules.catalogue.places import places_for
from defects.services.walkarounds.judging import given_check_of
from fleet.models import CouplingMember, Mounting
from tests.factories.fleet import NOON
from tests.support.walks import body, hand_in

pytestmark = [pytest.mark.usefixtures("ninefold_at_noon"), pytest.mark.long]

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
UNITS = ["NL-11", "NL-15", "LR-45", "lr-45", "CU-45", "QX-1@Acme", "ZZ-9", "@"]
OTHERS = [
    {"kind": "trailer", "number": "QX-1", "owner": "Acme"},
    {"kind": "cooling_unit", "number": "QX-1", "owner": "Acme", "vin": "BZTTKAA3XKA016001"},
    {"kind": "tractor", "number": "no number", "owner": "@", "plate_state": "??"},
]
FACTS = {
    "tractor": UnitFacts(
        "tractor",
        (AxleFacts(1, "steer", dual=False), AxleFacts(2, "drive", dual=True), AxleFacts(3, "drive", dual=True)),
    ),
    "trailer": UnitFacts("trailer", tuple(AxleFacts(number, "trailer", dual=True) for number in (1, 2))),
    "cooling_unit": UnitFacts("cooling_unit"),
}
POINTS = load_catalogue().points
FEW = ["brakes.service.pushrod-stroke", "tires.trailer.body", "lamps.trailer.turn", "cooling.engine.belts"]
"""Points drawn often, so that walk-arounds meet at them."""
PLACES = sorted({place for unit in FACTS.values() for point in POINTS.values() for place in places_for(point, unit)})
FINDINGS = sorted({finding.code for point in POINTS.values() for finding in point.findings})

words = st.sampled_from(["", "x", "\u00e9\u4e16 \U0001f69b", "'; --", "a" * 20])
values = st.sampled_from(["", "0", "1.5", "2.31", "2.6", "8", "-3", "1e9", "99999999999999999999", "NaN", "two", "."])
corrections = st.fixed_dictionaries(
    {}, optional={"what": words, "by": words, "photo": st.sampled_from(["a" * 64, "0" * 64])}
)


@st.composite
def checks(draw: st.DrawFn) -> dict[str, Any]:
    """An answer; two times in three to a point and place that fit each other."""
    name = draw(st.sampled_from(FEW) | st.sampled_from(sorted(POINTS)))
    point = POINTS[name]
    fitting = [place for kind in point.unit_kinds for place in places_for(point, FACTS[kind])] or [""]
    measure = str(point.measure.unit_of_measure) if point.measure else ""
    given_: dict[str, Any] = {
        "point": draw(st.sampled_from([name, name, "no.such.point"])),
        "place": draw(st.sampled_from(fitting[:3]) | st.sampled_from(fitting) | st.sampled_from(PLACES)),
        "answer": draw(
            st.sampled_from(["fine", "defect", "defect", "corrected", "not_applicable", "not_reached", "meh"])
        ),
        "value": draw(values),
        "unit_of_measure": draw(st.sampled_from([measure, measure, "", "mm"])),
        "finding": draw(
            st.sampled_from(["", "", *(finding.code for finding in point.findings)]) | st.sampled_from(FINDINGS)
        ),
        "note": draw(words),
        "reason": draw(st.sampled_from(["", "sealed", "dark", "lazy"])),
        "photos": draw(st.lists(st.just("b" * 64), max_size=2)),
    }
    if draw(st.booleans()):
        given_["correction"] = draw(corrections)
    return given_


reports = st.fixed_dictionaries(
    {"unit": st.sampled_from(UNITS)},
    optional={
        "checks": st.lists(checks(), max_size=6),
        "faults": st.lists(st.fixed_dictionaries({"text": st.just("knocks"), "place": words}), max_size=2),
        "meters": st.lists(
            st.fixed_dictionaries(
                {
                    "meter": st.sampled_from(["odometer_mi", "engine_h", "tachometer"]),
                    "shown": values.filter(lambda shown: 0 < len(shown) <= 16),
                }
            ),
            max_size=3,
        ),
    },
)
ago = st.sampled_from([timedelta(0), MINUTE, HOUR, 2 * HOUR, -HOUR, timedelta(days=200)])


@st.composite
def walks(draw: st.DrawFn) -> dict[str, Any]:
    finished_at = NOON - draw(ago)
    more: dict[str, Any] = {}
    if draw(st.booleans()):
        more["sent_at"] = (NOON - draw(ago)).isoformat()
    if draw(st.booleans()):
        more["coupled"] = draw(st.booleans())
    return body(
        draw(st.lists(reports, min_size=1, max_size=4)),
        finished_at=finished_at,
        kind=draw(st.sampled_from(["pre_trip", "en_route", "post_trip", "pick_up", "drop"])),
        units_of_others=draw(st.lists(st.sampled_from(OTHERS), max_size=3)),
        site=draw(st.sampled_from(["", "north-yard", "moon"])),
        team_mate=draw(st.sampled_from(["", "sol", "nobody"])),
        catalogue=draw(st.sampled_from([load_catalogue().content_hash, "0" * 64])),
        **more,
    )


def grades() -> dict[Any, tuple[int, int]]:
    return {row.pk: (rank(row.severity), bars_rank(row.bars)) for row in Defect.objects.all()}


several = st.lists(st.tuples(st.sampled_from(["iris", "sol", "greta"]), walks()), min_size=1, max_size=4)
anyhow = settings(deadline=None, suppress_health_check=list(HealthCheck))


@settings(anyhow, max_examples=10)
@given(several)
def test_any_walks_in_any_order__all_taken_in_and_nothing_lost(sent: list[tuple[str, dict[str, Any]]]) -> None:
    take_in(sent)


@pytest.mark.drill
@pytest.mark.timeout(600)
@settings(anyhow, max_examples=400)
@given(several)
def test_forty_times_as_many_walks__all_taken_in_and_nothing_lost(sent: list[tuple[str, dict[str, Any]]]) -> None:
    take_in(sent)


def take_in(sent: list[tuple[str, dict[str, Any]]]) -> None:
    """Take them all in, the same again after each, and look; nothing of it stays."""
    with transaction.atomic():
        for number, (username, walk) in enumerate(sent):
            before, now = grades(), NOON + number * timedelta(seconds=1)
            receipt = hand_in(username, walk, now=now)
            shows_everything(receipt_answer(receipt, "en").model_dump(mode="json"), walk)
            stored_as_judged(receipt.walkaround.pk)
            assert all(after >= before[key] for key, after in grades().items() if key in before)
            again = hand_in(username, walk, receipt.walkaround.pk, now=now)
            shown = receipt_answer(receipt, "es").model_copy(update={"replayed": True})
            assert receipt_answer(again, "es") == shown
        holds_together()
        transaction.set_rollback(True)


def shows_everything(answer: Any, walk: dict[str, Any]) -> None:
    """Each unit named has its place in the answer, and every sentence can be worded."""
    assert 1 <= len(answer["units"]) <= len(walk["reports"])
    assert all(item["detail"] for unit in answer["units"] for item in unit["flags"])
    assert all(item["detail"] for item in answer["flags"])


def stored_as_judged(key: Any) -> None:
    """Findings stored are findings judged: on known units each is one sighting, and on others none."""
    found = Counter(Sighting.objects.filter(report__walkaround=key).values_list("report_id", flat=True))
    for report in Report.objects.filter(walkaround=key):
        judged = [check["verdict"] for check in report.checks]
        reported = [given_check_of(check).says_fault or "severity" in check["verdict"] for check in report.checks]
        findings = sum(verdict["outcome"] == "finding" for verdict in judged)
        unplaced = sum(told and verdict["outcome"] == "flagged" for told, verdict in zip(reported, judged, strict=True))
        expected = findings + unplaced + len(report.faults) if report.unit_id else 0
        assert found[report.pk] == expected
        assert not [check for check in report.checks if check["answer"] == "defect" and is_passed(check)]
        measured = Measurement.objects.filter(report=report).values_list("point", "place")
        flags = {(check["point"], check.get("place", "")) for check in report.checks if is_flagged(check)}
        passed = {(check["point"], check.get("place", "")) for check in report.checks if not is_flagged(check)}
        assert set(measured) <= passed, flags


def is_passed(check: dict[str, Any]) -> bool:
    return check["verdict"]["outcome"] not in {"finding", "flagged"}


def is_flagged(check: dict[str, Any]) -> bool:
    return bool(check["verdict"]["outcome"] == "flagged")


def holds_together() -> None:
    """What must be so of all rows, whatever came."""
    placed = Defect.objects.filter(state__in=OPEN_DEFECT_STATES).exclude(point="")
    faults = Counter(placed.values_list("unit_id", "point", "place"))
    assert not faults or max(faults.values()) == 1
    grave = Defect.objects.filter(severity="do_not_move")
    assert Hold.objects.filter(lifted_at__isnull=True).count() == grave.count()
    for defect in Defect.objects.exclude(state__in=OPEN_DEFECT_STATES):
        assert Certificate.objects.filter(defect=defect, kind="repaired").exists()
    for table, unit in ((CouplingMember, "unit_id"), (Mounting, "trailer_id")):
        running = Counter(table.objects.filter(span__upper_inf=True).values_list(unit, flat=True))
        assert max(running.values()) == 1
