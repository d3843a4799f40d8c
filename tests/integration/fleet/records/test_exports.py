"""Everything on record, given out: complete, of one instant, without secrets, and harmless to a spreadsheet."""

import io
import tracemalloc
import zipfile
from collections.abc import Iterator, Sequence
from hashlib import shake_256

import pytest
import time_machine
from django.apps import apps
from django.contrib.auth.hashers import make_password
from django.core.management import call_command

from common.tables.archive import zip_chunks
from common.tables.writing import csv_chunks
from defects.services.holds.by_person import place_hold
from fleet.enums import Role
from fleet.models import DeviceToken, HistoryContent, Person
from fleet.selectors.records.exports.tables import OFFICE, model_table, tables_for
from tests.factories.fleet import NOON, make_coupling, make_document, make_person, make_reading, make_token
from tests.support.acting import acting_as
from tests.support.tables import records
from tests.support.yard import make_yard

EVERYBODY = frozenset(Role)
NOT_GIVEN_OUT = {
    "fleet": {
        *("UnitChain", "DeviceToken", "FeedToken", "SignInAttempt", "IdempotencyRecord", "HistoryContent"),
        *("FileRemoval", "JobPlace", "JobRun", "SkippedRecord", "QueueReport", "WebhookEndpoint"),
    },
    "defects": {"SigningLink"},
    "workorders": set[str](),
}
"""Locks, sign-ins, stored responses and places of jobs are no records; what an entry said stands with the entries, what
was signed by a link with the certificates."""


@pytest.fixture(autouse=True)
def frozen_clock() -> Iterator[None]:
    with time_machine.travel(NOON, tick=False):
        yield


def unzipped(content: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def test_tables__are_those_of_every_model_but_the_ones_named() -> None:
    tables = {table.name: set(table.columns) for table in tables_for(EVERYBODY)}
    for app, not_given_out in NOT_GIVEN_OUT.items():
        for model in apps.get_app_config(app).get_models():
            name, columns = model.__name__, {field.attname for field in model._meta.concrete_fields}
            found = [table for table, known in tables.items() if columns - {"password", "span"} <= known]
            assert (name in not_given_out) != bool(found), (app, name, found)


def test_column_that_may_hold_a_secret__is_refused_when_the_table_is_made() -> None:
    with pytest.raises(ValueError, match=r"Person\.password may be a secret"):
        model_table("people", OFFICE, Person)
    with pytest.raises(ValueError, match=r"DeviceToken\.token_hash may be a secret"):
        model_table("tokens", OFFICE, DeviceToken)


@pytest.mark.django_db
def test_archive__holds_all_that_each_role_may_see_and_no_secret() -> None:
    reading, document, coupling = make_reading(), make_document(number="=HYPERLINK(1)"), make_coupling()
    ada = make_person("Ada Brisk", username="ada", password=make_password("nine larders on the road"))
    row, token = make_token(ada)
    answers = {}
    for role in (Role.COMPLIANCE, Role.AUDITOR, Role.ADMINISTRATOR):
        answer = acting_as(role, name=f"A {role}").get("exports/everything.zip")
        assert answer.headers["Content-Type"] == "application/zip"
        answers[role] = unzipped(answer.getvalue())
    files = answers[Role.COMPLIANCE]
    assert answers[Role.AUDITOR].keys() == files.keys()
    assert {"defects.csv", "repair-orders.csv", "history.csv"} <= files.keys()
    assert {"units.csv", "history.csv"} <= answers[Role.ADMINISTRATOR].keys()
    assert answers[Role.ADMINISTRATOR].keys().isdisjoint({"defects.csv", "labor-entries.csv", "walkarounds.csv"})
    whole = b"".join(files.values())
    for secret in (ada.password, token, bytes(row.token_hash).hex()):
        assert secret.encode() not in whole
    assert [r["id"] for r in records(files["meter-readings.csv"])] == [str(reading.pk)]
    assert [(r["id"], r["number"]) for r in records(files["documents.csv"])] == [(str(document.pk), "'=HYPERLINK(1)")]
    members = records(files["coupling-members.csv"])
    assert [(r["coupling_id"], r["span_until"]) for r in members] == [(str(coupling.pk), "")] * 2
    bodies = {r["id"]: r["body"] for r in records(files["history.csv"])}
    assert bodies == {str(key): body for key, body in HistoryContent.objects.values_list("entry_id", "body")}
    assert b"apostrophe" in files["READ-ME.txt"]


@pytest.mark.django_db
def test_rows_about_a_defect__name_it_by_its_fault_beside_its_number() -> None:
    yard = make_yard()
    defect = yard.stroke()
    place_hold(unit_id=yard.trailer.pk, defect_id=None, reason="smells burnt", actor=yard["hob"], now=yard.now)
    yard.repaired_stroke(defect)
    name = "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in"
    vera = acting_as(Role.COMPLIANCE, name="A keeper")
    rows = {
        table: records(vera.get(f"exports/{table}.csv").getvalue())
        for table in ("defects", "sightings", "holds", "certificates")
    }
    for table, found in rows.items():
        assert {(row["number" if table == "defects" else "defect"], row["defect_name"]) for row in found} == {
            (str(defect.number), name),
            *({("", "")} if table == "holds" else set()),
        }, table


@pytest.mark.django_db
def test_one_table__is_given_to_whoever_may_see_it() -> None:
    make_reading()
    vera, hob = acting_as(Role.COMPLIANCE), acting_as(Role.ADMINISTRATOR)
    answer = vera.get("exports/meter-readings.csv")
    assert answer.headers["Content-Type"] == "text/csv; charset=utf-8"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="meter-readings.csv"'
    assert [(r["meter"], r["shown"], r["recorded_by"]) for r in records(answer.getvalue())] == [
        ("odometer_mi", "1000.0", "Vera Holt")
    ]
    listed = {table["name"]: table["columns"] for table in vera.get("exports").json()}
    assert (listed["axles"][0], "defects" in listed) == ("id", True)
    assert "defects" not in {table["name"] for table in hob.get("exports").json()}
    for who, name in ((hob, "defects"), (vera, "nothing")):
        refused = who.get(f"exports/{name}.csv")
        assert (refused.status_code, refused.json()["code"]) == (404, "export_unknown")


@pytest.mark.django_db
def test_source_that_breaks_off__is_no_answer_of_200(monkeypatch: pytest.MonkeyPatch) -> None:
    """The whole file is there before the status is sent; then its length is told."""
    make_reading()
    vera = acting_as(Role.COMPLIANCE)
    whole = vera.get("exports/everything.zip")
    assert int(whole.headers["Content-Length"]) == len(whole.getvalue())

    def broken(*_: object) -> Iterator[bytes]:
        yield b"id"
        raise ConnectionError

    monkeypatch.setattr("fleet.api.records.tables.csv_chunks", broken)
    for path in ("exports/everything.zip", "exports/meter-readings.csv"):
        with pytest.raises(ConnectionError):
            vera.get(path)


def test_archive_of_much__is_made_in_flat_memory() -> None:
    def rows() -> Iterator[Sequence[object]]:
        for number in range(15_000):
            yield number, shake_256(str(number).encode()).hexdigest(200)  # which nothing makes smaller than half

    tracemalloc.start()
    size = sum(len(piece) for piece in zip_chunks([("rows.csv", csv_chunks(["a", "b"], rows()))], NOON))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert size > 2_900_000
    assert peak < 2_000_000


@pytest.mark.django_db
def test_command__writes_the_same_archive(tmp_path_factory: pytest.TempPathFactory) -> None:
    make_reading()
    file = tmp_path_factory.mktemp("export") / "all.zip"
    call_command("export_rows", str(file), stdout=io.StringIO())
    names = {f"{table.name}.csv" for table in tables_for(frozenset({Role.COMPLIANCE, Role.ADMINISTRATOR}))}
    assert unzipped(file.read_bytes()).keys() == {*names, "READ-ME.txt"}
    assert list(file.parent.iterdir()) == [file]
