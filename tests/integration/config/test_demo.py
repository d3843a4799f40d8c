"""The demo as a person runs it: started cold and warm, interrupted, killed, broken, reset."""

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
from tests.support.ports import free_port
from tests.support.supervisor import processes_in, wait_until_none_in

pytestmark = [pytest.mark.embedded, pytest.mark.timeout(240)]

LEFT_OUT = shutil.ignore_patterns(".*", "tests", "docs", "__pycache__", "staticfiles", "media")
WAIT_S = 120.0


@pytest.fixture(scope="module")
def checkout() -> Iterator[Path]:
    """A copy of the project with a state of its own; its first start is cold, the later ones warm."""
    folder = Path(tempfile.mkdtemp(dir="/var/tmp", prefix="reefer-demo-"))
    copy = folder / "checkout"
    shutil.copytree(CHECKOUT, copy, ignore=LEFT_OUT)
    yield copy
    assert _run(copy, "config.local.reset").returncode == 0
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
        for name in ("web", "sweeps"):
            environment = Path(f"/proc/{self.parts()[name]}/environ").read_text()
            found[name] = environment.partition("\0DATABASE_URL=postgresql://")[2].partition("@")[0]
        return found

    def parts(self) -> dict[str, int]:
        """The process ids of the web process and the sweeps."""
        found = {}
        for process in _children(self.process.pid):
            words = Path(f"/proc/{process}/cmdline").read_bytes().decode().split("\0")
            found["web" if "gunicorn" in words else "sweeps" if "run_sweeps" in words else "database"] = process
        return found


def _children(process: int) -> list[int]:
    return [int(word) for word in Path(f"/proc/{process}/task/{process}/children").read_text().split()]


def _variables() -> dict[str, str]:
    port = str(free_port())
    of_the_suite = {"DATABASE_URL", "DJANGO_SETTINGS_MODULE"}
    return {name: value for name, value in os.environ.items() if name not in of_the_suite} | {"PORT": port}


def _run(checkout: Path, module: str, **variables: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", module],
        cwd=checkout,
        env=_variables() | variables,
        capture_output=True,
        text=True,
        check=False,
    )


@contextmanager
def running(checkout: Path) -> Iterator[Demo]:
    """Start the demo and wait for its address; it is interrupted at the end unless the test ended it."""
    output = checkout.parent / "output"
    with output.open("w") as file:
        process = subprocess.Popen(
            [sys.executable, "-m", "config.local.demo"],
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


def _stopped_in_order(demo: Demo, files: Path, checkout: Path) -> None:
    said = demo.output.read_text()
    assert "Everything is stopped" in said
    assert "Traceback" not in said
    log = (files / "postgres.log").read_text()
    assert "database system is shut down" in log
    assert "terminating connection due to administrator command" not in log  # nobody was connected any more
    assert processes_in(files) | processes_in(checkout) == set()
    assert not (checkout / ".state" / "demo.json").exists()


def test_cold_start__answers_and_says_how_to_sign_in_and_an_interrupt_stops_it_in_order(checkout: Path) -> None:
    assert _run(checkout, "config.local.reset").returncode == 0

    with running(checkout) as demo:
        assert [demo.get(path) for path in ("/livez", "/readyz", "/docs", "/openapi.yaml")] == [200, 200, 200, 200]
        said = demo.output.read_text()
        files = demo.server_files()
        used = demo.roles()
        beside, second, reset = (
            _beside(checkout),
            _run(checkout, "config.local.demo"),
            _run(checkout, "config.local.reset"),
        )
        assert demo.get("/readyz") == 200

    assert "Loaded" in said
    assert f"{demo.left['ADDRESS']}/docs" in said
    for role in ("driver", "mechanic", "foreman", "compliance", "dispatch", "administrator", "trainer", "auditor"):
        assert re.search(rf"^  \w+ .*\b{role}", said, re.MULTILINE), role
    assert len(re.findall(r"\bcurl ", said)) == 3
    assert used == {"web": "reefer_web", "sweeps": "reefer_web"}
    assert (beside.stdout, beside.stderr) == ("1\n", "")
    assert (second.returncode, "already running" in second.stderr) == (1, True)
    assert (reset.returncode, reset.stderr) == (1, "the demo is running; stop it first\n")
    _stopped_in_order(demo, files, checkout)


def test_warm_start__keeps_the_data_and_a_termination_stops_it_in_order(checkout: Path) -> None:
    with running(checkout) as demo:
        first = demo.carrier()

    with running(checkout) as demo:
        files = demo.server_files()
        assert demo.carrier() == first
        demo.process.terminate()
        assert demo.process.wait(WAIT_S) == 0

    assert "Loaded" not in demo.output.read_text()
    _stopped_in_order(demo, files, checkout)


@pytest.mark.crash
def test_killed__all_its_parts_end_and_what_it_left_is_no_hindrance(checkout: Path) -> None:
    with running(checkout) as demo:
        files = demo.server_files()
        demo.process.kill()
        demo.process.wait()
        wait_until_none_in(files)
        wait_until_none_in(checkout)

    with running(checkout) as demo:
        assert demo.get("/readyz") == 200
        os.kill(demo.parts()["web"], signal.SIGKILL)
        assert demo.process.wait(WAIT_S) == 1

    assert "the web process ended by itself" in demo.output.read_text()
    wait_until_none_in(files)
    wait_until_none_in(checkout)


@pytest.mark.crash
def test_sweeps_end_by_themselves__everything_stops_and_a_reset_leaves_no_data(checkout: Path) -> None:
    with running(checkout) as demo:
        files = demo.server_files()
        (checkout / ".state" / "media").mkdir(exist_ok=True)
        os.kill(demo.parts()["sweeps"], signal.SIGKILL)
        assert demo.process.wait(WAIT_S) == 1
    assert "the sweeps ended by itself" in demo.output.read_text()
    assert files.is_dir()

    assert _run(checkout, "config.local.reset").returncode == 0

    assert not files.exists()
    assert [path.name for path in (checkout / ".state").rglob("*") if path.name != "postgres"] == []


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


def test_port_taken__is_said(checkout: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as door:
        port = str(door.getsockname()[1])

        done = _run(checkout, "config.local.demo", PORT=port)

    assert done.returncode == 1
    assert done.stderr == f"port {port} of 127.0.0.1 is taken; name another with PORT=…\n"
