"""The demo as a person runs it: started cold and warm, interrupted, killed, broken, reset.

A start takes seconds, so the first one, `cold_start`, is looked at by several tests.
"""

import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest

from config.env import CHECKOUT
from tests.support.local_postgres import processes_in, wait_until_none_in
from tests.support.ports import free_port

pytestmark = [pytest.mark.embedded, pytest.mark.timeout(240), pytest.mark.long]

LEFT_OUT = shutil.ignore_patterns(".*", "tests", "docs", "staticfiles", "media")
WAIT_S = 120.0


@pytest.fixture(scope="module")
def checkout() -> Iterator[Path]:
    """A copy of the project with a state of its own; its first start is cold, the later ones warm."""
    folder = Path(tempfile.mkdtemp(dir="/var/tmp", prefix="reefer-demo-"))
    copy = folder / "checkout"
    shutil.copytree(CHECKOUT, copy, ignore=LEFT_OUT)
    yield copy
    assert _run(copy, "config.local.demo", "--reset").returncode == 0
    shutil.rmtree(folder)


@dataclass(frozen=True)
class Demo:
    """A running demo: its process and what it left for other commands."""

    process: "subprocess.Popen[str]"
    left: dict[str, str]
    output: Path

    def get(self, path: str) -> int:
        with urllib.request.urlopen(f"{self.left['ADDRESS']}{path}", timeout=30) as answer:
            return int(answer.status)

    def carrier(self) -> object:
        with psycopg.connect(self.left["DATABASE_URL"]) as connection:
            row = connection.execute("SELECT id FROM fleet_carrier").fetchone()
        assert row is not None
        return row[0]

    def server_files(self) -> Path:
        with psycopg.connect(self.left["OWNER_DATABASE_URL"], user="postgres") as connection:
            row = connection.execute("SHOW data_directory").fetchone()
        assert row is not None
        return Path(str(row[0])).parent.parent

    def roles(self) -> dict[str, str]:
        """As which role of the database the two parts work."""
        found = {}
        for name in ("web", "jobs"):
            environment = Path(f"/proc/{self.parts()[name]}/environ").read_text()
            found[name] = environment.partition("\0DATABASE_URL=postgresql://")[2].partition("@")[0]
        return found

    def parts(self) -> dict[str, int]:
        """The process ids of the web process and the jobs."""
        found = {}
        for process in _children(self.process.pid):
            words = Path(f"/proc/{process}/cmdline").read_bytes().decode().split("\0")
            kinds = {"gunicorn": "web", "run_jobs": "jobs", "play_life": "life"}
            found[next((kind for word, kind in kinds.items() if word in words), "database")] = process
        return found


def _children(process: int) -> list[int]:
    return [int(word) for word in Path(f"/proc/{process}/task/{process}/children").read_text().split()]


def _variables() -> dict[str, str]:
    port = str(free_port())
    of_the_suite = {"DATABASE_URL", "DJANGO_SETTINGS_MODULE"}
    return {name: value for name, value in os.environ.items() if name not in of_the_suite} | {"PORT": port}


def _run(checkout: Path, module: str, *words: str, **variables: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", module, *words],
        cwd=checkout,
        env=_variables() | variables,
        capture_output=True,
        text=True,
        check=False,
    )


@contextmanager
def running(checkout: Path, *, bare: bool = True) -> Iterator[Demo]:
    """Start the demo and wait for its address; it is interrupted at the end unless the test ended it.

    `bare` as it is loaded, without its thirty days.
    """
    output = checkout.parent / "output"
    with output.open("w") as file:
        process = subprocess.Popen(
            [sys.executable, "-m", "config.local.demo", *(["--bare"] if bare else [])],
            cwd=checkout,
            env=_variables(),
            stdout=file,
            stderr=file,
            text=True,
            start_new_session=True,
        )
    try:
        until = time.monotonic() + WAIT_S
        while "Documentation " not in output.read_text():
            assert process.poll() is None, output.read_text()
            assert time.monotonic() < until, output.read_text()
            time.sleep(0.1)
        yield Demo(process, json.loads((checkout / ".state" / "demo.json").read_text()), output)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
            process.wait(WAIT_S)


@dataclass(frozen=True)
class Ended:
    """What is left to look at of a demo that has ended: what it said and returned, where its files are."""

    said: str
    status: int | None
    files: Path
    still_running: set[int]
    left_its_note: bool


def _ended(demo: Demo, files: Path, checkout: Path) -> Ended:
    return Ended(
        said=demo.output.read_text(),
        status=demo.process.returncode,
        files=files,
        still_running=processes_in(files) | processes_in(checkout),
        left_its_note=(checkout / ".state" / "demo.json").exists(),
    )


def _stopped_in_order(end: Ended, log: str) -> None:
    assert end.status == 0
    assert "Everything is stopped" in end.said
    assert "Traceback" not in end.said
    assert "database system is shut down" in log
    assert "terminating connection due to administrator command" not in log  # nobody was connected any more
    assert end.still_running == set()
    assert not end.left_its_note


@dataclass(frozen=True)
class ColdStart:
    """The first start on this machine, what was tried beside it, and its end by an interrupt."""

    answers: list[int]
    roles: dict[str, str]
    carrier: object
    address: str
    beside: "subprocess.CompletedProcess[str]"
    second: "subprocess.CompletedProcess[str]"
    reset: "subprocess.CompletedProcess[str]"
    answer_after: int
    log: str
    end: Ended


@pytest.fixture(scope="module")
def cold_start(checkout: Path) -> ColdStart:
    with running(checkout) as demo:
        files = demo.server_files()
        answers = [demo.get(path) for path in ("/livez", "/readyz", "/docs")]
        roles, carrier = demo.roles(), demo.carrier()
        beside = _beside(checkout)
        second, reset = _run(checkout, "config.local.demo"), _run(checkout, "config.local.demo", "--reset")
        answer_after = demo.get("/readyz")
    return ColdStart(
        answers,
        roles,
        carrier,
        demo.left["ADDRESS"],
        beside,
        second,
        reset,
        answer_after,
        (files / "postgres.log").read_text(),
        _ended(demo, files, checkout),
    )


def test_cold_start__answers_with_the_demo_loaded(cold_start: ColdStart) -> None:
    assert cold_start.answers == [200, 200, 200]
    assert "Loaded" in cold_start.end.said
    assert cold_start.roles == {"web": "reefer_web", "jobs": "reefer_web"}


def test_cold_start__says_where_it_is_who_signs_in_and_what_to_try(cold_start: ColdStart) -> None:
    said = cold_start.end.said
    assert f"{cold_start.address}/docs" in said
    for role in ("driver", "mechanic", "foreman", "compliance", "dispatch", "administrator", "trainer", "auditor"):
        assert re.search(rf"^  \w+ .*\b{role}", said, re.MULTILINE), role
    assert len(re.findall(r"\bcurl ", said)) == 3


def test_beside_a_running_demo__commands_find_it_and_no_second_or_reset_starts(cold_start: ColdStart) -> None:
    second, reset = cold_start.second, cold_start.reset
    assert (cold_start.beside.stdout, cold_start.beside.stderr) == ("1\n", "")
    assert (second.returncode, second.stderr.count("\n")) == (1, 1), second.stderr
    assert "already running" in second.stderr
    assert (reset.returncode, reset.stderr) == (1, "the demo is running; stop it first\n")
    assert cold_start.answer_after == 200


def test_interrupted__stops_in_order(cold_start: ColdStart) -> None:
    _stopped_in_order(cold_start.end, cold_start.log)


@pytest.mark.drill
@pytest.mark.crash
def test_warm_start__keeps_the_data_and_a_lost_part_ends_it(cold_start: ColdStart, checkout: Path) -> None:
    with running(checkout) as demo:
        files = demo.server_files()
        assert demo.carrier() == cold_start.carrier
        os.kill(demo.parts()["database"], signal.SIGKILL)
        assert demo.process.wait(WAIT_S) == 1

    said = demo.output.read_text()
    assert "Loaded" not in said
    assert "the database ended by itself" in said
    wait_until_none_in(files)
    wait_until_none_in(checkout)


PART = """
import time
from config.local.demo import Service
part = Service("a part", ["-c", "import time; time.sleep(40)"], {})
print("begun", flush=True)
time.sleep(200)
"""


@pytest.mark.crash
def test_part__does_not_outlive_who_started_it() -> None:
    started = subprocess.Popen([sys.executable, "-c", PART], cwd=CHECKOUT, stdout=subprocess.PIPE, text=True)
    assert started.stdout is not None
    assert started.stdout.readline() == "begun\n"
    killed = time.monotonic()
    started.kill()
    assert started.stdout.read() == ""  # which the part holds open as well
    assert time.monotonic() - killed < 30
    started.communicate()


@pytest.mark.drill
@pytest.mark.crash
def test_killed__every_part_ends_and_what_it_left_is_no_hindrance(checkout: Path) -> None:
    with running(checkout) as demo:
        carrier, files = demo.carrier(), demo.server_files()
        demo.process.kill()
        demo.process.wait()
        wait_until_none_in(files)
        wait_until_none_in(checkout)
    with running(checkout) as demo:
        assert demo.get("/readyz") == 200
        assert demo.carrier() == carrier


@pytest.mark.drill
@pytest.mark.timeout(1200)
def test_thirty_days__are_played_behind_the_service_go_on_after_a_break_and_are_played_once(checkout: Path) -> None:
    with running(checkout, bare=False) as demo:
        _wait_for(demo, "Day 2 of 30: ")
        assert demo.get("/readyz") == 200
        files = demo.server_files()
        demo.process.kill()
        demo.process.wait()
    wait_until_none_in(files)
    with running(checkout, bare=False) as demo:
        _wait_for(demo, "Day 30 of 30: ")
        assert "Day 2 of 30: " not in demo.output.read_text()
        walked = _walked(demo)
        assert len(walked) == 30
        assert _run(checkout, "manage", "verify_history").stdout.endswith("no fault found\n")
    with running(checkout, bare=False) as demo:
        assert demo.process.poll() is None
        while "life" in demo.parts():
            time.sleep(0.1)
        assert "Day " not in demo.output.read_text()
        assert _walked(demo) == walked


def _wait_for(demo: Demo, words: str) -> None:
    while words not in demo.output.read_text():
        assert demo.process.poll() is None, demo.output.read_text()
        time.sleep(0.1)


def _walked(demo: Demo) -> dict[object, int]:
    """How many walk-arounds there are of each day."""
    days = """SELECT (finished_at AT TIME ZONE 'America/Chicago')::date, count(*)
        FROM defects_walkaround WHERE kind = 'pre_trip' GROUP BY 1"""
    with psycopg.connect(demo.left["OWNER_DATABASE_URL"]) as connection:
        return dict(connection.execute(days).fetchall())


@pytest.mark.drill
def test_terminated__stops_in_order(checkout: Path) -> None:
    with running(checkout) as demo:
        files = demo.server_files()
        demo.process.terminate()
        assert demo.process.wait(WAIT_S) == 0

    _stopped_in_order(_ended(demo, files, checkout), (files / "postgres.log").read_text())


@pytest.mark.drill
@pytest.mark.crash
@pytest.mark.parametrize(
    ("part", "called"), [("web", "the web process"), ("jobs", "the jobs"), ("database", "the database")]
)
def test_part_that_is_killed__everything_stops_with_a_sentence(checkout: Path, part: str, called: str) -> None:
    with running(checkout) as demo:
        files = demo.server_files()
        os.kill(demo.parts()[part], signal.SIGKILL)
        assert demo.process.wait(WAIT_S) == 1

    said = demo.output.read_text()
    assert f"{called} ended by itself" in said
    assert "Traceback" not in said
    wait_until_none_in(files)
    wait_until_none_in(checkout)
    assert not (checkout / ".state" / "demo.json").exists()


def test_reset__leaves_no_data(tmp_path: Path) -> None:
    """In a checkout whose demo never ran but left what one leaves: the files alone matter to a reset."""
    copy = tmp_path / "checkout"
    for name in ("config", "fixtures"):
        shutil.copytree(CHECKOUT / name, copy / name, ignore=LEFT_OUT)
    where = "from config.local.postgres import kept; print(kept().folder)"
    told = subprocess.run([sys.executable, "-c", where], cwd=copy, capture_output=True, text=True, check=True)
    files = Path(told.stdout.strip())
    for folder in (files / "cluster" / "data", copy / ".state" / "media", copy / ".state" / "digests"):
        folder.mkdir(parents=True)
        (folder / "something").touch()

    assert _run(copy, "config.local.demo", "--reset").returncode == 0

    assert not files.exists()
    assert [path.name for path in (copy / ".state").rglob("*") if path.name != "postgres"] == []


def test_no_database__other_commands_say_what_to_set(checkout: Path) -> None:
    alone = _beside(checkout)

    assert alone.returncode == 1
    assert "DATABASE_URL: is not set" in alone.stderr
    assert "make demo" in alone.stderr
    assert "Traceback" not in alone.stderr


def _beside(checkout: Path) -> "subprocess.CompletedProcess[str]":
    """Another command in the same checkout, with nothing set."""
    script = "from fleet.models import Carrier; print(Carrier.objects.count())"
    return subprocess.run(
        [sys.executable, "manage.py", "shell", "--no-imports", "-c", script],
        cwd=checkout,
        env=_variables(),
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize(("word", "status"), [("--help", 0), ("--prot=9000", 2)])
def test_asked_for_help_or_for_what_there_is_not__does_nothing_else(checkout: Path, word: str, status: int) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        done = _run(checkout, "config.local.demo", word, PORT=str(taken.getsockname()[1]))

    assert done.returncode == status
    assert "usage: python -m config.local.demo" in done.stdout + done.stderr


def test_port_taken__is_said(checkout: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as door:
        port = str(door.getsockname()[1])

        done = _run(checkout, "config.local.demo", PORT=port)

    assert done.returncode == 1
    assert done.stderr == f"port {port} of 127.0.0.1 is taken; name another with PORT=…\n"
