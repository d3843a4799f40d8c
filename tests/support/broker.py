"""A Redis server of the test's own, on a free port, that can be killed, frozen, emptied and started again."""

import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import redis

from tests.support.needs import need_program

WAIT_S = 10.0


class Broker:
    """One server at one address; it keeps nothing on disk, so that a new start is an empty one."""

    def __init__(self, folder: Path) -> None:
        self.program = need_program("redis-server")
        self.folder = folder
        with socket.create_server(("127.0.0.1", 0)) as door:
            self.port = int(door.getsockname()[1])
        self.process = self._start()

    @property
    def url(self) -> str:
        return f"redis://127.0.0.1:{self.port}/0"

    def kill(self) -> None:
        self.process.kill()
        self.process.wait(WAIT_S)

    def start_empty(self) -> None:
        self.process = self._start()

    def freeze(self) -> None:
        self.process.send_signal(signal.SIGSTOP)

    def thaw(self) -> None:
        self.process.send_signal(signal.SIGCONT)

    def empty(self) -> int:
        """Forget everything; how many keys there were."""
        with redis.Redis(port=self.port) as client:
            keys = int(client.dbsize())
            client.flushall()
        return keys

    def stop(self) -> None:
        if self.process.poll() is None:
            self.thaw()
            self.kill()

    def _start(self) -> "subprocess.Popen[bytes]":
        process = subprocess.Popen(
            [self.program, "--port", str(self.port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"],
            cwd=self.folder,
            stdout=subprocess.DEVNULL,
        )
        until = time.monotonic() + WAIT_S
        while time.monotonic() < until:
            try:
                with redis.Redis(port=self.port) as client:
                    client.ping()
            except redis.ConnectionError:
                time.sleep(0.02)
            else:
                return process
        process.kill()
        pytest.fail("redis-server did not answer")


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Broker]:
    started = Broker(tmp_path)
    yield started
    started.stop()
