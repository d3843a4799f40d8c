"""A mail server that keeps what it is given, for worker processes that really send; it can be made to stall."""

import socketserver
import threading
from collections.abc import Iterator
from email import message_from_bytes
from email.message import Message

import pytest


class MailSink(socketserver.ThreadingTCPServer):
    """Listens on a free port of loopback. While `stalled` is set, a message is kept and never acknowledged."""

    allow_reuse_address = True
    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Session)
        self.messages: list[Message] = []
        self.stalled = threading.Event()
        self.came = threading.Condition()
        self.sessions = 0

    @property
    def port(self) -> int:
        return int(self.server_address[1])

    @property
    def message_ids(self) -> list[str]:
        return [str(message["Message-ID"]).strip() for message in self.messages]

    def keep(self, content: bytes) -> None:
        with self.came:
            self.messages.append(message_from_bytes(content))
            self.came.notify_all()

    def wait_for(self, count: int, seconds: float) -> bool:
        """Whether at least so many messages came in time."""
        with self.came:
            return self.came.wait_for(lambda: len(self.messages) >= count, seconds)


class _Session(socketserver.StreamRequestHandler):
    server: MailSink

    def handle(self) -> None:
        self.server.sessions += 1
        self._say("220 sink")
        while line := self.rfile.readline():
            command = line.split(maxsplit=1)[0].upper() if line.strip() else b""
            if command == b"DATA":
                self._say("354 go on")
                self._take()
            elif command == b"QUIT":
                self._say("221 bye")
                return
            else:
                self._say("250 fine")

    def _take(self) -> None:
        lines = []
        while (line := self.rfile.readline()) not in {b".\r\n", b""}:
            lines.append(line.removeprefix(b".") if line.startswith(b"..") else line)
        self.server.keep(b"".join(lines))
        if self.server.stalled.is_set():
            self.rfile.read()  # until the other side is gone
        else:
            self._say("250 kept")

    def _say(self, line: str) -> None:
        self.wfile.write(f"{line}\r\n".encode())


@pytest.fixture
def mail_sink() -> Iterator[MailSink]:
    with MailSink() as sink:
        thread = threading.Thread(target=sink.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        yield sink
        sink.shutdown()
        thread.join()
