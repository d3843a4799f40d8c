"""What a purge leaves because of a repair (396.3): everything of an open defect, and the only evidence of a repair."""

import datetime as dt
from collections import Counter

import pytest
from django.db import connection

from defects.models import Defect, Hold
from fleet.models import HistoryEntry, Unit
from fleet.rules.records.retention import RECORD_KINDS, retained_until
from fleet.services.records.purging.functions import PURGEABLES, due
from tests.support.yard import Yard

# Everything in the yard happens on 6 March 2026, in Chicago.
REPORT_LAST_DAY = dt.date(2026, 6, 6)
REPAIR_LAST_DAY = dt.date(2027, 3, 6)
DAY = dt.timedelta(days=1)


def going(today: dt.date) -> Counter[str]:
    """The kinds of entries whose content may go on a day; no later day is asked of the function than of the list."""
    (history,) = (item for item in PURGEABLES if item.due == "purge_due_history")
    return Counter(row.event for row in due(history, today, None))


def lose(kind: str) -> None:
    """Make what these entries said be gone, as if it had been deleted before."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("ALTER TABLE fleet_historycontent DISABLE TRIGGER append_only")
        cursor.execute(
            "DELETE FROM fleet_historycontent USING fleet_historyentry AS link WHERE link.id = entry_id AND kind = %s",
            [kind],
        )
        cursor.execute("ALTER TABLE fleet_historycontent ENABLE TRIGGER append_only")


def closed_stroke(yard: Yard) -> Defect:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    for hold in Hold.objects.filter(defect=defect):
        yard.lift(hold)
    yard.review()
    return defect


def test_open_defect__nothing_about_it_goes_however_old(yard: Yard) -> None:
    yard.stroke()

    about = set(HistoryEntry.objects.filter(unit=yard.trailer).values_list("kind", flat=True))
    assert about >= {"report_signed", "defect_reported", "hold_placed", "repair_order_opened"}
    assert not going(dt.date(2036, 1, 1)).keys() & {
        "report_signed",
        "defect_reported",
        "hold_placed",
        "repair_order_opened",
    }


def test_repaired_and_reviewed__report_kept_three_months_and_repair_a_year(yard: Yard) -> None:
    closed_stroke(yard)

    assert going(REPORT_LAST_DAY) == Counter()
    after_report = going(REPORT_LAST_DAY + DAY)
    assert after_report.keys() == {"report_signed", "driver_reviewed"}
    assert going(REPAIR_LAST_DAY) == after_report
    after_repair = going(REPAIR_LAST_DAY + DAY)
    assert after_repair.keys() >= {
        "defect_reported",
        "certificate_signed",
        "defect_closed",
        "hold_placed",
        "hold_lifted",
    }


def test_certificate_gone__the_report_is_the_only_evidence_and_stays_a_year(yard: Yard) -> None:
    closed_stroke(yard)
    lose("certificate_signed")

    assert "report_signed" not in going(REPORT_LAST_DAY + DAY)
    assert "report_signed" not in going(REPAIR_LAST_DAY)
    assert "report_signed" in going(REPAIR_LAST_DAY + DAY)


def test_unit_left_meanwhile__the_only_evidence_stays_six_months_after(yard: Yard) -> None:
    closed_stroke(yard)
    lose("certificate_signed")
    Unit.objects.filter(pk=yard.trailer.pk).update(retired_on=dt.date(2027, 2, 28))

    of_trailer = HistoryEntry.objects.filter(unit=yard.trailer, kind="report_signed").count()
    before, after = going(dt.date(2027, 8, 28)), going(dt.date(2027, 8, 29))

    assert after["report_signed"] - before["report_signed"] == of_trailer > 0


@pytest.mark.django_db
def test_months_of_the_database__are_those_of_the_rules() -> None:
    """The database counts the year and the six months itself; a rule that changed would be seen here."""
    assert (RECORD_KINDS["maintenance"].months, RECORD_KINDS["maintenance"].months_after_control) == (12, 6)
    assert {kind for kind, rule in RECORD_KINDS.items() if rule.months_after_control} == {"maintenance"}
    with connection.cursor() as cursor:
        for left in (dt.date(2026, 8, 31), dt.date(2027, 8, 29), dt.date(2028, 8, 31), dt.date(2026, 3, 6)):
            cursor.execute("SELECT retained_until('maintenance', '2026-01-01', %s)", [left])
            stored = retained_until("maintenance", dt.date(2025, 1, 1), left_control_on=left)
            assert cursor.fetchone() == (stored.until,)
