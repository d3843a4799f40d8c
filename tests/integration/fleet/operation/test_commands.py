"""Every command of ours: with the database away, and with what it cannot take, a sentence and no traceback."""

import io
import re
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import get_commands
from django.db import connections
from pytest_django.plugin import DjangoDbBlocker

import manage
from config.database_url import Database
from tests.support.committing import committing
from tests.support.ports import free_port

OURS = {name for name, app in get_commands().items() if app in {"fleet", "defects", "workorders", "fixtures"}}
RIGHT: dict[str, str] = {
    "back_up": "{folder}/backup",
    "changepassword": "ola",
    "doctor": "",
    "export_file": "NL-12",
    "export_rows": "{folder}/rows.zip",
    "first_passwords": "--by ola",
    "found_carrier": "--name Larder --usdot 123 --person Ola --username ola",
    "grant_purge_role": "--role reefer_purge",
    "grant_role": "ola foreman --by ola --reason alone",
    "grant_web_role": "--role reefer_web",
    "import_rows": "units {folder}/units.csv --by ola",
    "load_demo": "",
    "migrate": "",
    "make_administrator": "ola --name Ola --reason gone",
    "purge_records": "--dry-run",
    "purge_requests": "",
    "record_recovery": "--to 2026-11-01T06:00 --by ola",
    "rehearse_audit": "",
    "replay_scenario": "--day 5 --address http://127.0.0.1:{port}",
    "restore": "{folder}/backup --by ola",
    "run_jobs": "--once",
    "set_policy": "small_carrier_lift true --by ola --reason alone",
    "verify_history": "",
    "write_history_digest": "--directory {folder}",
}
"""Each command as it is given where all is well."""
ANSWERS_ALWAYS = {"createsuperuser", "play_life"}
WRONG = [
    "back_up /proc/no-such-folder",
    "changepassword nobody",
    "createsuperuser",
    "doctor --certificate localhost:{port}",
    "doctor --certificate localhost:what",
    "export_file NO-SUCH",
    "export_file NL-12 --from yesterday",
    "export_rows /proc/no-such-folder/rows.zip",
    "first_passwords --by nobody",
    "found_carrier --name Larder --usdot twelve --person Ola --username ola",
    "found_carrier",
    "grant_purge_role --role nobody_of_that_name",
    "grant_role ola emperor --by ola --reason alone",
    "grant_web_role --role nobody_of_that_name",
    "import_rows units {folder}/no-such.csv --by nobody",
    "import_rows boats {folder}/no-such.csv --by nobody",
    "migrate no_such_app",
    "migrate fleet 9999",
    "make_administrator nobody --reason gone",
    "make_administrator ola --name Ola --reason gone",
    "record_recovery --to 2999-11-01T06:00 --by ola",
    "record_recovery --to yesterday --by ola",
    "rehearse_audit --units 0",
    "rehearse_audit",
    "replay_scenario --day 99",
    "replay_scenario --day 5 --address http://127.0.0.1:{port}",
    "replay_scenario --day 5 --address nowhere",
    "restore {folder}/no-such --by ola",
    "restore {folder} --by ola",
    "run_jobs --interval often",
    "run_jobs --interval 0",
    "set_policy small_carrier_lift true --by nobody --reason alone",
    "verify_history --digests {folder}/no-such",
    "write_history_digest --directory /proc/no-such",
    "no_such_command",
    "doctor --no-such-option",
    "play_life",
]
"""What no command can take, on a database that is migrated and empty."""


@pytest.fixture(autouse=True)
def around(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A pipe with a password for standard input; signals as they were."""
    monkeypatch.setattr("sys.stdin", io.StringIO("a long way to River Dock\n"))
    before = {number: signal.getsignal(number) for number in (signal.SIGTERM, signal.SIGINT)}
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


def told(words: str, capsys: pytest.CaptureFixture[str], folder: Path) -> tuple[object, str]:
    """How a command ends, and the last line of what it says."""
    given = words.format(folder=folder, port=free_port()).split()
    with pytest.raises(SystemExit) as ended:
        manage.run(["manage.py", *given])
    shown = capsys.readouterr()
    said = shown.err + (ended.value.code if isinstance(ended.value.code, str) else "")
    assert "Traceback" not in shown.out + said, shown.out + said
    assert said.strip()
    return ended.value.code, said


def test_list__names_every_command() -> None:
    assert set(RIGHT) | ANSWERS_ALWAYS == OURS
    assert {words.split()[0] for words in WRONG} - OURS == {"no_such_command"}
    assert OURS - {words.split()[0] for words in WRONG} == {"load_demo", *("purge_records", "purge_requests")}, (
        "the others take nothing that could be wrong"
    )
    assert apps.is_installed("fleet")


@pytest.fixture(scope="module")
def database(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[None]:
    """One that is migrated and empty, for all of them: what they cannot take changes nothing."""
    with committing(django_db_blocker, database_server, migrated_template):
        yield


@pytest.fixture
def away(database: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    connections.close_all()
    monkeypatch.setitem(connections.settings["default"], "HOST", "127.0.0.1")
    monkeypatch.setitem(connections.settings["default"], "PORT", str(free_port()))
    yield
    connections.close_all()


@pytest.mark.parametrize("name", sorted(RIGHT))
def test_database_is_away__a_sentence(
    away: None, name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "units.csv").write_text("kind,number\r\ntractor,NL-1\r\n")
    code, said = told(f"{name} {RIGHT[name]}", capsys, tmp_path)
    assert code not in {0, None}
    if isinstance(code, str):
        assert "connection" in said
        assert "`manage.py doctor` says what is wrong" in said


@pytest.mark.parametrize("words", WRONG)
def test_what_a_command_cannot_take__a_sentence(
    database: None, words: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, said = told(words, capsys, tmp_path)
    assert code not in {0, None}
    assert re.search("error|unknown command", said, re.IGNORECASE), said


def test_traceback__is_shown_to_whoever_asks_for_it(away: None) -> None:
    with pytest.raises(Exception, match="connection"):
        manage.run(["manage.py", "grant_web_role", "--role", "reefer_web", "--traceback"])
