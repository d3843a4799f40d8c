"""The suite in several processes: forked from the one that collected the tests, each takes one file after another.

What is imported and collected is so once for all. A file stays with one worker, for what its tests share.
"""

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from itertools import groupby
from multiprocessing.connection import Connection, wait
from pathlib import Path
from tempfile import TemporaryFile
from typing import Any

import pytest
from _pytest.capture import CaptureManager, FDCapture
from _pytest.terminal import TerminalReporter

from config.local.bound import bound_to_parent
from tests.support.database import WORKER, url_for

FORKED = multiprocessing.get_context("fork")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the option."""
    parser.addoption("--workers", type=int, default=1, help="how many processes share the files of the tests")


@pytest.hookimpl(tryfirst=True)
def pytest_runtestloop(session: pytest.Session) -> bool | None:
    """Let workers run the tests and report here what each was; leave it to pytest where one process is enough."""
    files = [list(items) for _, items in groupby(session.items, key=lambda item: item.path)]
    number = min(int(session.config.getoption("workers")), len(files))
    if number < 2 or session.config.option.collectonly or session.testsfailed:
        return None
    url_for(session.config)  # the server is this process's, and no worker's; so is the folder for files
    session.config._tmp_path_factory.getbasetemp()  # type: ignore[attr-defined]  # there is no public way
    _terminal(session.config).showfspath = False  # tests of several files end in turn
    doors, bind = {}, bound_to_parent(signal.SIGKILL)
    for name in map(str, range(number)):
        here, there = FORKED.Pipe()
        doors[here] = FORKED.Process(target=_work, args=(session, files, there, name, bind))
        doors[here].start()
        there.close()
    try:
        _hand_out(session, list(doors), iter(range(len(files))))
    except BaseException:
        for process in doors.values():
            process.terminate()
        raise
    finally:
        for process in doors.values():
            process.join()
    return True


def _hand_out(session: pytest.Session, doors: list[Connection], files: Iterator[int]) -> None:
    """Give each worker that asks the next file, until none is left and all have ended; pass their reports on."""
    hook, running = session.config.hook, dict.fromkeys(doors, "nothing")
    while running:
        for door in wait(list(running)):
            assert isinstance(door, Connection)
            try:
                said = door.recv()
            except EOFError:
                raise RuntimeError(f"a worker was lost in {running[door]}") from None
            if said == "next":
                door.send(next(files, None))
            elif said == "ended":
                del running[door]
            elif isinstance(said, str):
                running[door] = said
            else:
                report = hook.pytest_report_from_serializable(config=session.config, data=said)
                hook.pytest_runtest_logreport(report=report)
        if session.shouldfail:
            raise session.Failed(session.shouldfail)
        if session.shouldstop:
            raise session.Interrupted(session.shouldstop)


class _Reporting:
    """What a worker tells the process that collected."""

    def __init__(self, config: pytest.Config, door: Connection) -> None:
        self.config, self.door = config, door

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.door.send(nodeid)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.door.send(self.config.hook.pytest_report_to_serializable(config=self.config, report=report))


def _work(
    session: pytest.Session, files: Sequence[list[pytest.Item]], door: Connection, name: str, bind: Callable[[], None]
) -> None:
    """Run file after file as long as there are any; the next is asked for before the last test of one begins."""
    bind()
    config = session.config
    config.stash[WORKER] = name
    config._tmp_path_factory._basetemp = config._tmp_path_factory.mktemp(name, numbered=False)  # type: ignore[attr-defined]
    _capture_apart(config)
    with Path(os.devnull).open("w", encoding="utf-8") as nowhere:
        _terminal(config)._tw._file = nowhere
        config.pluginmanager.register(_Reporting(config, door))
        items = _taken(files, door)
        item = next(items, None)
        while item is not None:
            following = next(items, None)
            config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            item = following
    door.send("ended")


def _capture_apart(config: pytest.Config) -> None:
    """Put a file of this worker's own in the place of the one that all would write into; who holds it keeps it."""
    manager = config.pluginmanager.get_plugin("capturemanager")
    assert isinstance(manager, CaptureManager)
    shared = manager._global_capturing
    for stream in (shared.out, shared.err) if shared else ():
        if isinstance(stream, FDCapture):
            with TemporaryFile(buffering=0) as own:
                os.dup2(own.fileno(), stream.tmpfile.fileno(), inheritable=False)
                os.dup2(own.fileno(), stream.targetfd)


def _taken(files: Sequence[list[pytest.Item]], door: Connection) -> Iterator[pytest.Item]:
    while True:
        door.send("next")
        number: int | None = door.recv()
        if number is None:
            return
        yield from files[number]


def _terminal(config: pytest.Config) -> TerminalReporter:
    found: Any = config.pluginmanager.get_plugin("terminalreporter")
    assert isinstance(found, TerminalReporter)
    return found
