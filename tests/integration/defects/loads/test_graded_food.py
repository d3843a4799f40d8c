"""A cold load under a fault that came to bar cold freight after its walk-around: graded, raised, back again."""

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from common.errors import Unavailable
from defects.enums import Authority, Bars, Severity
from defects.models import Defect, LoadAtRisk
from defects.services.loads.at_risk import open_for_fresh_faults
from fleet.models import Notification
from fleet.services.records.unit_of_work import UnitOfWork
from tests.factories.fleet import HOUR, NOON, history_of
from tests.support.dock import ALARM, Dock
from tests.support.submissions import fault_told
from tests.support.yard import photo_on

COLD = (Severity.NEXT_SHOP_VISIT, Bars.COLD_FREIGHT, Authority.CARRIER)


@pytest.fixture
def dock(dock: Dock) -> Dock:
    dock.now = NOON - HOUR
    return dock


def told_in_words(dock: Dock) -> Defect:
    return dock.walk("sol", unit=dock.cooling_unit, faults=[fault_told("blows warm")])[0]


def test_free_text_fault_graded_to_bar_cold_freight__puts_the_load_at_risk(dock: Dock) -> None:
    load = dock.put(dock.load())
    defect = told_in_words(dock)
    assert not LoadAtRisk.objects.exists()
    dock.grade(defect, *COLD)
    risk = LoadAtRisk.objects.get()
    assert (risk.load, risk.defect, risk.trailer, risk.opened_at) == (load, defect, dock.trailer, defect.found_at)
    assert history_of(dock.trailer)[-1] == "load_at_risk_opened"
    told = Notification.objects.filter(kind="load_at_risk", urgent=True)
    assert sorted(notification.person.name for notification in told) == ["Cal Wick", "Hob Anselm", "Ida Fell"]


def test_words_graded_to_stop_nothing__put_no_load_at_risk(dock: Dock) -> None:
    dock.put(dock.load())
    dock.grade(told_in_words(dock), Severity.NEXT_SHOP_VISIT, Bars.NOTHING, Authority.CARRIER)
    assert not LoadAtRisk.objects.exists()


def test_words_graded_under_a_dry_load__put_no_load_at_risk(dock: Dock) -> None:
    dock.put(dock.load("L-1", "dry"))
    dock.grade(told_in_words(dock), *COLD)
    assert not LoadAtRisk.objects.exists()


def test_defect_raised_to_bar_cold_freight__joins_the_record_that_is_open(dock: Dock) -> None:
    risk = dock.at_risk()
    defect = dock.grade(told_in_words(dock), Severity.NEXT_SHOP_VISIT, Bars.NOTHING, Authority.CARRIER)
    before = Notification.objects.filter(kind="load_at_risk").count()
    dock.regrade(defect, Severity.NEXT_SHOP_VISIT, Bars.COLD_FREIGHT)
    assert LoadAtRisk.objects.get() == risk
    assert history_of(dock.trailer)[-1] == "load_at_risk_joined"
    assert Notification.objects.filter(kind="load_at_risk").count() == before + 3


def test_defect_regraded_to_what_it_was__is_not_told_of_again(dock: Dock) -> None:
    dock.put(dock.load())
    defect = dock.grade(told_in_words(dock), *COLD)
    before = Notification.objects.filter(kind="load_at_risk").count()
    dock.regrade(defect, Severity.NEXT_SHOP_VISIT, Bars.COLD_FREIGHT)
    assert Notification.objects.filter(kind="load_at_risk").count() == before


def test_repair_that_did_not_hold__puts_the_load_at_risk_that_was_loaded_since(dock: Dock) -> None:
    dock.cold_fault()
    defect = dock.cooling_unit.defects.get(point=ALARM)
    dock.certify(defect, photo=photo_on(defect))
    dock.later()
    load = dock.put(dock.load())
    dock.later()
    back = dock.reopen(defect)
    risk = LoadAtRisk.objects.get()
    assert (risk.load, risk.defect, risk.opened_at) == (load, back, back.found_at)


def test_cooling_unit_put_on_another_trailer_meanwhile__is_to_be_tried_again(dock: Dock) -> None:
    dock.put(dock.load())
    dock.grade(told_in_words(dock), *COLD)
    with pytest.raises(Unavailable) as raised, transaction.atomic():
        open_for_fresh_faults(
            dock.cooling_unit.defects.all(),
            work=UnitOfWork.begin([dock.cooling_unit.pk], actor=dock["hob"], now=dock.now),
        )
    assert raised.value.code == "busy"


def test_grading_of_what_bars_no_cold_freight__reads_no_load(dock: Dock) -> None:
    dock.put(dock.load())
    defect = told_in_words(dock)
    with CaptureQueriesContext(connection) as captured:
        dock.grade(defect, Severity.NEXT_SHOP_VISIT, Bars.NOTHING, Authority.CARRIER)
    assert [row["sql"] for row in captured if "defects_load" in row["sql"]] == []
