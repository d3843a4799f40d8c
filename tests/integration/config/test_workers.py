"""Several processes share the tests: what each says arrives, and one that is lost is missed."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from config.database_url import Database
from config.env import CHECKOUT

TESTS = {
    "test_one.py": "import os, pytest\nS = set()\n"
    "@pytest.fixture(scope='module')\ndef process():\n    return os.getpid()\n"
    "def test_first(process, tmp_path):\n    S.add(process)\n"
    "def test_second(process):\n    assert S == {os.getpid()}\n",
    "test_two.py": "import logging, sys\nTO_ALL = logging.StreamHandler(sys.stderr)\n"
    "def test_wrong():\n    print('said before')\n    logging.getLogger('odd').addHandler(TO_ALL)\n"
    "    logging.getLogger('odd').error('logged before')\n    assert 1 == 2\n",
    "test_three.py": "import pytest\ndef test_left_out():\n    pytest.skip('why')\n",
}


def _run(folder: Path, database: Database, tests: dict[str, str]) -> "subprocess.CompletedProcess[str]":
    for name, text in tests.items():
        (folder / name).write_text(text)
    plugins = ["-p", "tests.support.database", "-p", "tests.support.workers"]
    return subprocess.run(
        [
            sys.executable,
            "-m",
            "pytest",
            "-c",
            os.devnull,
            *plugins,
            "-p",
            "no:randomly",
            "--workers",
            "2",
            str(folder),
        ],
        cwd=CHECKOUT,
        env={**os.environ, "DATABASE_URL": database.url()},
        capture_output=True,
        text=True,
        check=False,
    )


def test_files_over_two_workers__every_outcome_arrives_and_a_file_stays_whole(
    tmp_path: Path, database_server: Database
) -> None:
    done = _run(tmp_path, database_server, TESTS)

    assert done.returncode == 1, done.stdout + done.stderr
    assert "1 failed, 2 passed, 1 skipped" in done.stdout
    assert "assert 1 == 2" in done.stdout
    assert done.stdout.count("\nsaid before\n") == 1
    assert "logged before" in done.stdout.partition("Captured stderr call")[2].partition("Captured log")[0]
    assert "Logging error" not in done.stdout + done.stderr


@pytest.mark.crash
def test_worker_lost__ends_the_run_and_is_said(tmp_path: Path, database_server: Database) -> None:
    lost = {"test_lost.py": "import os\ndef test_end():\n    os._exit(0)\n"}

    done = _run(tmp_path, database_server, {**TESTS, **lost})

    assert done.returncode == 3, done.stdout + done.stderr
    assert "a worker was lost in test_lost.py::test_end" in done.stdout + done.stderr
