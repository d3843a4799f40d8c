"""What the database itself keeps, by its triggers, whoever asks; the tables are found in its own catalogue."""

import pytest
from django.db import DatabaseError, connection, transaction
from psycopg import errors

from tests.support.any_row import any_row

pytestmark = pytest.mark.django_db

APPEND_ONLY = (
    "defects_catalogueversion",
    "defects_certificate",
    "defects_certificate_worked_by",
    "defects_clearance",
    "defects_clearance_units",
    "defects_driverreview",
    "defects_driverreview_certificates",
    "defects_driverreview_reports",
    "defects_entryinerror",
    "defects_firmconfirmation",
    "defects_hold",
    "defects_measurement",
    "defects_photo",
    "defects_refusal",
    "defects_refusal_defects",
    "defects_repeatedtest",
    "defects_report",
    "defects_riskentry",
    "defects_roadsideinspection_units",
    "defects_roadsideviolation",
    "defects_secondlook",
    "defects_sentbody",
    "defects_setaside",
    "defects_sighting",
    "defects_walkaround",
    "defects_yardmove",
    "fleet_deletion",
    "fleet_historycontent",
    "fleet_historyentry",
    "fleet_legalhold",
    "fleet_policy",
    "fleet_restore",
    "fleet_signature",
)

TRIGGERED = """
    SELECT kept.tgrelid::regclass::text,
           array_agg(kept.tgname::text ORDER BY kept.tgname),
           bool_and(kept.tgenabled = 'O')
      FROM pg_trigger AS kept
     WHERE kept.tgname IN ('append_only', 'append_only_whole')
     GROUP BY 1
     ORDER BY 1
"""

LIFT = (
    "lifted_at = now(), lifted_by_id = gen_random_uuid(), lift_signature_id = gen_random_uuid(), lift_reason = 'done'"
)


def refused(statement: str) -> bool:
    """Whether the statement is refused by a trigger of ours, and not for any other reason."""
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    except DatabaseError as error:
        if isinstance(error.__cause__, errors.RestrictViolation):
            return True
        raise
    return False


def changed(statement: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return int(cursor.rowcount)


def test_triggers_in_the_catalogue__both_on_every_table_that_is_to_be_kept() -> None:
    with connection.cursor() as cursor:
        cursor.execute(TRIGGERED)
        found = cursor.fetchall()

    assert found == [(table, ["append_only", "append_only_whole"], True) for table in APPEND_ONLY]


@pytest.mark.parametrize("table", APPEND_ONLY)
def test_kept_table__refuses_update_delete_and_truncate(table: str) -> None:
    any_row(table)

    assert refused(f"UPDATE {table} SET {_first_column(table)} = {_first_column(table)}")  # noqa: S608 - listed above
    assert refused(f"DELETE FROM {table}")  # noqa: S608 - listed above
    assert refused(f"TRUNCATE {table} CASCADE")


def test_control_with_an_ordinary_table__refuses_none_of_them() -> None:
    any_row("fleet_qualification")

    assert not refused("UPDATE fleet_qualification SET scope = scope")
    assert not refused("DELETE FROM fleet_qualification")
    assert not refused("TRUNCATE fleet_qualification CASCADE")


def test_hold__lifted_once_and_not_again() -> None:
    any_row("defects_hold")

    assert changed(f"UPDATE defects_hold SET {LIFT}") == 1  # noqa: S608 - written above
    assert refused(f"UPDATE defects_hold SET {LIFT}")  # noqa: S608 - written above
    assert refused("UPDATE defects_hold SET lifted_at = NULL")
    assert refused("DELETE FROM defects_hold")


@pytest.mark.parametrize(
    "change",
    [
        "reason = 'milder'",
        "lift_reason = 'without lifting'",
        f"{LIFT}, reason = 'milder'",
        f"{LIFT}, placed_at = now() - interval '1 day'",
        f"{LIFT}, unit_id = gen_random_uuid()",
    ],
)
def test_hold__nothing_but_a_lift_accepted(change: str) -> None:
    any_row("defects_hold")

    assert refused(f"UPDATE defects_hold SET {change}")  # noqa: S608 - listed above


ASSIGNED = "unit_id = gen_random_uuid(), unit_assigned_by_id = gen_random_uuid(), unit_assigned_at = now()"


def test_report_on_an_unknown_unit__bound_to_one_once_and_what_was_given_stays() -> None:
    any_row("defects_report")
    changed("ALTER TABLE defects_report DISABLE TRIGGER append_only")
    given = """[{"point": "p", "answer": "defect", "verdict": {}}]"""
    looked = """[{"leg": "cab", "at": "", "counts": false}]"""
    changed(f"UPDATE defects_report SET unit_id = NULL, checks = '{given}', looked_at = '{looked}'")  # noqa: S608
    changed("ALTER TABLE defects_report ENABLE TRIGGER append_only")
    otherwise = given.replace("defect", "fine")

    assert refused("UPDATE defects_report SET flags = '[]'")
    for change in (f"checks = '{otherwise}'", "checks = '[]'", "looked_at = '[]'", "given_unit = 'LR-45'"):
        assert refused(f"UPDATE defects_report SET {ASSIGNED}, {change}")  # noqa: S608 - written above
    judged = given.replace("{}", """{"outcome": "finding"}""")
    counted = looked.replace("false", "true")
    assert changed(f"UPDATE defects_report SET {ASSIGNED}, checks = '{judged}', looked_at = '{counted}'") == 1  # noqa: S608
    assert refused(f"UPDATE defects_report SET {ASSIGNED}")  # noqa: S608 - written above


def test_legal_hold__lifted_once_and_changed_in_nothing_else() -> None:
    any_row("fleet_legalhold")
    lift = "lifted_at = now(), lifted_by_id = gen_random_uuid(), lift_reason = 'settled'"

    assert refused(f"UPDATE fleet_legalhold SET {lift}, reason = 'milder'")  # noqa: S608 - written above
    assert refused("UPDATE fleet_legalhold SET lift_reason = 'without lifting'")
    assert changed(f"UPDATE fleet_legalhold SET {lift}") == 1  # noqa: S608 - written above
    assert refused(f"UPDATE fleet_legalhold SET {lift}")  # noqa: S608 - written above
    assert refused("UPDATE fleet_legalhold SET lifted_at = NULL")


def test_content_of_history__goes_only_for_the_entry_whose_deletion_is_on_record() -> None:
    any_row("fleet_historycontent")
    any_row("fleet_deletion")
    changed("ALTER TABLE fleet_deletion DISABLE TRIGGER append_only")
    changed("UPDATE fleet_deletion SET entry_id = gen_random_uuid()")

    assert refused("DELETE FROM fleet_historycontent")

    changed("UPDATE fleet_deletion SET entry_id = (SELECT entry_id FROM fleet_historycontent)")
    assert changed("DELETE FROM fleet_historycontent") == 1


@pytest.mark.parametrize(
    ("change", "taken"),
    [
        ("retained_until = '2020-02-01', record_kind = 'load'", True),
        ("retained_until = '2020-01-31', record_kind = 'load'", True),
        ("retained_until = '2020-01-30', record_kind = 'load'", False),
        ("retained_until = NULL, record_kind = 'load'", False),
        ("retained_until = '2020-02-01', record_kind = ''", False),
        ("retained_until = '2020-02-01', record_kind = 'load', body = 'other'", False),
        ("retained_until = '2020-02-01', record_kind = 'load', salt = '\\x01'", False),
        ("retained_until = '2020-02-01', record_kind = 'load', entry_id = gen_random_uuid()", False),
    ],
)
def test_day_of_keeping__moves_outward_alone(change: str, taken: bool) -> None:
    any_row("fleet_historycontent")
    changed("UPDATE fleet_historycontent SET retained_until = '2020-01-31', record_kind = 'maintenance'")

    assert refused(f"UPDATE fleet_historycontent SET {change}") is not taken  # noqa: S608 - listed above


def _first_column(table: str) -> str:
    with connection.cursor() as cursor:
        return str(connection.introspection.get_table_description(cursor, table)[0].name)
