"""Everything that reads or runs by itself, over a database as it is after long use: nothing on record breaks it."""

import io
import json
import zipfile
from collections.abc import Collection, Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from django.core.management import call_command
from pytest_django import Settings

from common import clock
from common.jobs import Run, jobs
from defects.models import DriverReview, Load, Photo
from fleet.enums import Role
from fleet.models import Notification, Person, SkippedRecord, Unit
from fleet.selectors.records.exports.tables import tables_for
from fleet.services.documents.reminders.job import Reminded
from fleet.services.notifications.deliveries import Delivered
from tests.factories.fleet import make_feed
from tests.lived.conftest import EVERYBODY, LivedIn, reader_with
from tests.lived.filling import tables, unfilled
from tests.lived.names import NAMES, QUERIES
from tests.lived.newer import NEVER_SHOWN, write_newer_words
from tests.support.acting import Device, acting_as
from tests.support.routes import Operation, operations
from tests.support.tables import records

if TYPE_CHECKING:
    from django.test.client import _MonkeyPatchedWSGIResponse as Answer
else:
    Answer = object

pytestmark = [pytest.mark.long, pytest.mark.timeout(240)]  # whichever test comes first plays every day

ELSEWHERE = {"signing-link"}
"""Read by whoever holds the link, who is nobody of the carrier: `tests/api/defects`."""
GETS = [get for get in operations() if get.method == "GET" and get.route not in ELSEWHERE]
BY_NAME = [get for get in GETS if "<" in get.route]
"""What names a row; the others everybody reads who works here."""
OWN: Mapping[str, tuple[type[Notification | DriverReview], str]] = {
    "notices/{key}": (Notification, "pk"),
    "driver-reviews/{key}": (DriverReview, "signature_id"),
}
"""Read by the person whose they are."""
OF_ONESELF = {"notices"}


def test_database__has_a_row_in_every_table_and_a_value_in_every_column(lived: LivedIn) -> None:
    assert list(unfilled()) == []


@pytest.mark.parametrize("operation", GETS, ids=lambda operation: operation.name)
def test_reading__answers_for_every_row_and_every_role(lived: LivedIn, operation: Operation) -> None:
    if _place(operation) in OWN:
        _read_ones_own(operation)
        return
    paths, reader = list(_paths(operation)), lived.readers[EVERYBODY]
    assert paths, "nothing to read"
    for path in paths:
        answer = _read(reader, operation, path)
        assert answer.status_code == 200, (path, answer.content[:400])
        _follow(reader, answer)
    for role in Role if operation in BY_NAME else ():
        answer = _read(lived.readers[frozenset({role})], operation, paths[0])
        assert _may_be_refused(answer), (role, answer.content[:400])


@pytest.mark.parametrize("operation", [get for get in GETS if get not in BY_NAME], ids=lambda get: get.name)
def test_list__answers_everybody_who_works_here(lived: LivedIn, operation: Operation) -> None:
    for person in _one_of_each_kind():
        reader = acting_as(person)
        answer = _read(reader, operation, operation.path)
        assert _may_be_refused(answer), (person.username, answer.content[:400])
        if answer.status_code == 200:
            _follow(reader, answer)


def _one_of_each_kind() -> Collection[Person]:
    """Everybody who works here, but of those with the same roles at the same sites one alone."""
    kinds: dict[frozenset[object], Person] = {}
    for person in Person.objects.filter(username__isnull=False, left_on__isnull=True).order_by("pk"):
        roles = frozenset(person.roles.values_list("role", "site", "starts_on", "ends_on"))
        kinds.setdefault(roles, person)
    return kinds.values()


def _read_ones_own(operation: Operation) -> None:
    model, column = OWN[_place(operation)]
    for row in model._default_manager.select_related("person"):
        reader = acting_as(row.person)
        answer = reader.get(operation.path_to(str(getattr(row, column))))
        assert answer.status_code == 200, answer.content[:400]


def _may_be_refused(answer: Answer) -> bool:
    """Whether it is answered, or refused for a person's roles or for want of a unit."""
    return answer.status_code in {200, 403, 404} or answer.json()["code"] == "unit_needed"


def _read(caller: Device, operation: Operation, path: str) -> Answer:
    answer = caller.get(path, **QUERIES.get(operation.route, {}))
    if answer.streaming:
        answer.getvalue()
    return answer


def _paths(operation: Operation) -> Iterator[str]:
    if "<" not in operation.route:
        yield operation.path
        return
    if _place(operation) == "expiries/feeds/{token}.ics":
        yield operation.path_to(make_feed(Person.objects.get(username="vera"))[1])
        return
    if _place(operation).endswith("photos/{sha256}"):
        yield from _photos(operation)
        return
    for name in NAMES[_place(operation)]():
        yield operation.path_to(str(name))


def _place(operation: Operation) -> str:
    """The address as the tables of the tests write it: `units/{ref}/file`."""
    return operation.name.removeprefix("GET /")


def _photos(operation: Operation) -> Iterator[str]:
    of = operation.route.partition("s/")[0]
    for photo in Photo.objects.filter(**{f"{of}__isnull": False}).select_related(of):
        subject = getattr(photo, of)
        yield operation.path_to(str(getattr(subject, "number", subject.pk)), photo.original_id)


def _follow(caller: Device, answer: Answer) -> list[Answer]:
    """Every page to the end, this one first."""
    pages = [answer]
    while pages[-1].headers["Content-Type"] == "application/json":
        page = json.loads(pages[-1].content)
        following = page.get("next") if isinstance(page, dict) else None
        if not following:
            break
        pages.append(caller.get(following))
        assert pages[-1].status_code == 200, (following, pages[-1].content[:400])
    return pages


def test_words_of_a_newer_release__hide_no_row_of_a_list(lived: LivedIn, settings: Settings) -> None:
    settings.MESSAGES_STRICT = False
    write_newer_words()
    Load.objects.update(temperature_class="new_class")
    lists = [get for get in GETS if "<" not in get.route and "export" not in get.route]
    list(_answers(reader_with(EVERYBODY), lists))


@pytest.mark.drill
def test_words_of_a_newer_release__are_shown_as_they_stand(lived: LivedIn, settings: Settings) -> None:
    settings.MESSAGES_STRICT = False
    words = write_newer_words()
    said = list(_answers(reader_with(EVERYBODY), GETS))
    unsaid = {column for column, word in words.items() if not any(word in each for each in said)}
    assert unsaid == NEVER_SHOWN


@pytest.mark.drill
def test_words_of_a_newer_release__stop_no_job(lived_committed: LivedIn, settings: Settings) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    settings.MESSAGES_STRICT = False
    write_newer_words()
    for job in jobs():
        job.run(Run(clock=clock.now))
    assert list(SkippedRecord.objects.exclude(job__startswith="new_").values_list("job", "subject", "why")) == []


def _answers(caller: Device, gets: Iterable[Operation]) -> Iterator[str]:
    """What each answers to this caller, or to everybody who was ever told of something where it is their own."""
    told = Person.objects.filter(notifications__isnull=False).distinct()
    tellers = [acting_as(person) for person in told]
    for operation in gets:
        if _place(operation) in OWN:
            continue
        for path in _paths(operation):
            for reader in tellers if operation.route in OF_ONESELF else [caller]:
                answer = _read(reader, operation, path)
                if answer.status_code == 400 and b"not_of_this_kind" in answer.content:
                    continue  # the unit that the test asks for is of a newer kind
                assert answer.status_code == 200, (path, answer.content[:400])
                for page in _follow(reader, answer):
                    said = "" if page.streaming else page.content.decode(errors="replace")
                    assert '"unreadable":[{' not in said, (path, said[-400:])
                    yield said


def test_export__has_every_row_of_every_table(lived: LivedIn) -> None:
    answer = lived.readers[EVERYBODY].get("exports/everything.zip")
    with zipfile.ZipFile(io.BytesIO(answer.getvalue())) as archive:
        files = {
            name.removesuffix(".csv"): records(archive.read(name))
            for name in archive.namelist()
            if name.endswith("csv")
        }
    assert files.keys() == {table.name for table in tables_for(EVERYBODY)}
    assert {name for name, rows in files.items() if not rows} == set()
    assert [row for rows in files.values() for row in rows if any("ERROR" in str(cell) for cell in row.values())] == []
    counts = {model._meta.label: model._default_manager.count() for model in tables()}
    assert len(files["repair-orders"]) == counts["workorders.RepairOrder"]
    assert len(files["history"]) == counts["fleet.HistoryEntry"]
    assert {row["unit"] for row in files["labor-entries"]} <= {str(unit) for unit in Unit.objects.all()}
    assert all(row["order"] for name in ("labor-entries", "outside-repairs", "repair-tasks") for row in files[name])


def test_commands__write_their_files(lived_committed: LivedIn, tmp_path: Path) -> None:
    call_command("export_rows", str(tmp_path / "all.zip"), stdout=io.StringIO())
    call_command("export_file", "LR-46", "--out", str(tmp_path / "LR-46.zip"), stdout=io.StringIO())
    out = io.StringIO()
    call_command("rehearse_audit", "--units", "30", "--seed", "7", stdout=out)
    assert "LR-46" in out.getvalue()
    call_command("verify_history", stdout=io.StringIO())


def test_jobs__all_run_and_again(lived_committed: LivedIn, settings: Settings) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    skipped = set(SkippedRecord.objects.values_list("job", "subject", "last_at"))
    first, again = ({job.name: job.run(Run(clock=clock.now)) for job in jobs()} for _ in range(2))
    assert first.keys() == {job.name for job in jobs()}
    for run in (first, again):
        reminded, delivered = run["remind_of_documents"], run["deliver_notifications"]
        assert isinstance(reminded, Reminded)
        assert isinstance(delivered, Delivered)
        assert (reminded.whole, reminded.looked_at > 40) == (True, True)
        assert (delivered.sent > 0, delivered.failed, delivered.parked) == (True, 0, 0)
    assert isinstance(first["write_history_digest"], Path)
    done = ("write_history_digest", "return_past_limit", "notify_of_changes", "remind_of_answers")
    assert [again[name] for name in done] == [None, 0, 0, 0]
    assert set(SkippedRecord.objects.values_list("job", "subject", "last_at")) <= skipped
