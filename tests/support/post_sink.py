"""A receiver of webhooks on loopback that takes everything and keeps the number of each post."""

import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest


class PostSink(ThreadingHTTPServer):
    """Listens on a free port of loopback; `ids` are the webhook ids as they came."""

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Handler)
        self.ids: list[str] = []

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.server_address[1]}/notices"


class _Handler(BaseHTTPRequestHandler):
    server: PostSink

    def do_POST(self) -> None:
        self.rfile.read(int(self.headers["Content-Length"]))
        self.server.ids.append(str(self.headers["webhook-id"]))
        self.send_response(204)
        self.end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def post_sink() -> Iterator[PostSink]:
    with PostSink() as sink:
        thread = threading.Thread(target=sink.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        yield sink
        sink.shutdown()
        thread.join()
