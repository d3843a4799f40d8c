"""What the proxy of config/deploy/nginx.conf refuses by itself, hands on and logs."""

import json
import re
import socket
import struct
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from email.message import Message
from http.client import HTTPConnection, HTTPResponse
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from socketserver import BaseServer, DatagramRequestHandler, UDPServer
from threading import Thread
from typing import TypeVar

import pytest
from django.utils.translation import override

from common import messages
from common.api.problem_document import problem_title
from fleet.api.requests.files import FileParser
from fleet.rules.people import tokens
from fleet.services.documents.files import MAX_BYTES
from tests.support.proxy import FILE, Proxy, proxying
from tests.support.routes import operations

FEED = f"/api/v1/expiries/feeds/{tokens.FEED_PREFIX}{'x' * 43}.ics"
STATUSES = {
    "bad_request": 400,
    "permission_denied": 403,
    "request_too_large": 413,
    "throttled": 429,
    "service_unreachable": 503,
}


class Web(ThreadingHTTPServer):
    """Keeps the headers of what is handed on, and answers 204."""

    daemon_threads = True

    def __init__(self, host: str = "127.0.0.1", port: int = 0) -> None:
        super().__init__((host, port), _Answer)
        self.handed_on: list[tuple[str, Message]] = []


class _Answer(BaseHTTPRequestHandler):
    server: Web

    def do_GET(self) -> None:
        self.server.handed_on.append((self.path, self.headers))
        self.rfile.read(int(self.headers.get("Content-Length", 0)))
        self.send_response(204)
        self.end_headers()

    do_PUT = do_POST = do_GET  # noqa: N815 - the library's names

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's name
        """Say nothing."""


class Names(UDPServer):
    """Answers whatever name is asked for with all its addresses (RFC 1035), for no longer than that once."""

    def __init__(self, *addresses: str) -> None:
        super().__init__(("127.0.0.1", 0), _Name)
        self.addresses = addresses


class _Name(DatagramRequestHandler):
    server: Names

    def handle(self) -> None:
        asked = self.rfile.read()
        header = asked[:2] + b"\x81\x80\x00\x01" + struct.pack(">HHH", len(self.server.addresses), 0, 0)
        record = b"\xc0\x0c\x00\x01\x00\x01\x00\x00\x00\x00\x00\x04"
        self.wfile.write(
            header + asked[12:] + b"".join(record + socket.inet_aton(one) for one in self.server.addresses)
        )


Server = TypeVar("Server", bound=BaseServer)


@contextmanager
def serving(server: Server) -> Iterator[Server]:
    with server:
        thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
            thread.join()


@pytest.fixture(scope="module")
def web() -> Iterator[Web]:
    with serving(Web()) as server:
        yield server


@pytest.fixture(scope="module")
def proxy(web: Web, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Proxy]:
    with proxying(tmp_path_factory.mktemp("proxy") / "nginx", f"127.0.0.1:{web.server_address[1]}") as running:
        yield running


def ask(
    proxy: Proxy, path: str, method: str = "GET", *, size: int = 0, source: str = "127.0.0.1", **headers: str
) -> tuple[HTTPResponse, bytes]:
    with closing(proxy.connection(source)) as connection:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        connection.request(method, path, body=bytes(size) if size else None, headers=named)
        answer = connection.getresponse()
        return answer, answer.read()


def refused(answer: HTTPResponse, body: bytes) -> tuple[int, str]:
    """Status and code of a problem of the proxy's own, whole in every other way."""
    problem = json.loads(body)
    assert answer.getheader("Content-Type") == "application/problem+json"
    assert answer.getheader("Cache-Control") == "no-store"
    assert answer.getheader("Link") == f'<{problem["type"]}>; rel="describedby"'
    assert answer.getheader("X-Request-Id") == problem["instance"]
    assert (problem["status"], problem["type"]) == (answer.status, f"/problems/{problem['code']}")
    assert set(problem) == {"type", "title", "status", "detail", "instance", "code", "errors"}
    assert problem["code"] in messages.registered_codes()
    return answer.status, problem["code"]


def test_words__are_those_of_the_api() -> None:
    titles, details = (
        dict(re.findall(r'"(\w\w \w+)" "(.+)";', block))
        for block in re.findall(r'map "\$language \$code" \$\w+ \{(.*?)\}', FILE.read_text(), re.DOTALL)
    )
    for language in ("en", "es"):
        with override(language):
            for code, status in STATUSES.items():
                said = messages.render(messages.Message(code, {"retry_after": 5}), language)
                assert titles.pop(f"{language} {code}") == problem_title(code, status)
                assert details.pop(f"{language} {code}") == said
    assert (titles, details) == ({}, {})


def test_places_that_take_a_file__are_the_only_ones_for_large_bodies() -> None:
    found = re.search(r"location ~ (\S+) \{\s+client_max_body_size 15m;", FILE.read_text())
    assert found is not None
    assert MAX_BYTES == 15 * 1024 * 1024
    writing = [operation for operation in operations() if operation.method in {"POST", "PUT", "PATCH"}]
    takes_a_file = {
        operation.name
        for operation in writing
        if any(issubclass(parser, FileParser) for parser in operation.view.parser_classes)
    }
    assert takes_a_file == {one.name for one in writing if re.match(found[1], f"/api/v1/{one.path}")}


def test_body_larger_than_the_api_takes__refused_and_not_handed_on(proxy: Proxy, web: Web) -> None:
    before = len(web.handed_on)
    assert refused(*ask(proxy, "/api/v1/clearances", "POST", size=1024 * 1024 + 1)) == (413, "request_too_large")
    photo = "/api/v1/defects/1/photos/a"
    for sign_in in ("/api/v1/tokens", "/sign-in"):
        assert refused(*ask(proxy, sign_in, "POST", size=16 * 1024 + 1)) == (413, "request_too_large")
    assert refused(*ask(proxy, photo, "PUT", size=MAX_BYTES + 1)) == (413, "request_too_large")
    assert len(web.handed_on) == before
    assert ask(proxy, photo, "PUT", size=MAX_BYTES)[0].status == 204
    assert ask(proxy, "/api/v1/clearances", "POST", size=1024 * 1024)[0].status == 204
    assert ask(proxy, "/api/v1/tokens", "POST", size=16 * 1024)[0].status == 204


def test_no_room_to_keep_a_body__a_problem_that_says_when_to_try_again(tmp_path: Path, web: Web) -> None:
    with proxying(tmp_path / "nginx", f"127.0.0.1:{web.server_address[1]}") as full:
        (full.folder / "client_body").rmdir()
        answer, body = ask(full, "/api/v1/defects/1/photos/a", "PUT", size=2 * 1024 * 1024)
        assert refused(answer, body) == (503, "service_unreachable")
        assert answer.getheader("Retry-After") == "5"
        assert '"PUT /api/v1/defects/1/photos/a" 503' in full.logged(json.loads(body)["instance"])


def test_no_request_of_http_or_too_long_a_one__refused_with_a_problem(proxy: Proxy) -> None:
    assert refused(*ask(proxy, "/livez", X_Long="x" * 9000)) == (431, "request_too_large")
    assert refused(*ask(proxy, f"/livez?{'x' * 9000}")) == (414, "request_too_large")
    assert refused(*ask(proxy, "/livez", Transfer_Encoding="rot13")) == (501, "bad_request")
    assert refused(*ask(proxy, "/.problem")) == (404, "bad_request")


def test_more_than_a_hundred_connections_of_one_address__are_refused(proxy: Proxy) -> None:
    begun = b"POST /api/v1/tokens HTTP/1.1\r\nHost: localhost\r\nContent-Length: 9\r\n\r\n"
    with ExitStack() as stack:
        for _ in range(100):
            connection = stack.enter_context(closing(proxy.connection("127.0.0.2")))
            connection.connect()
            connection.sock.sendall(begun)
        until = time.monotonic() + 10
        while (answered := ask(proxy, "/docs", source="127.0.0.2"))[0].status == 204:  # until nginx has read them all
            assert time.monotonic() < until
        assert refused(*answered) == (429, "throttled")
        assert answered[0].getheader("Retry-After") == "5"
        assert ask(proxy, "/docs")[0].status == 204


def test_every_address_of_the_api__is_handed_on_as_it_was_asked_for(proxy: Proxy, web: Web) -> None:
    paths = sorted({f"/api/v1/{operation.path}" for operation in operations()} | {FEED})
    before = len(web.handed_on)
    with closing(proxy.connection()) as connection:
        for path in paths:
            connection.request("POST", path)
            answer = connection.getresponse()
            assert (answer.status, answer.read()) == (204, b""), path
    assert [path for path, _ in web.handed_on[before:]] == paths


def test_plain_http__sent_to_https(proxy: Proxy, web: Web) -> None:
    with closing(HTTPConnection("127.0.0.1", proxy.http, timeout=10)) as connection:
        connection.request("GET", "/docs?a=b", headers={"Host": "clearance.example"})
        answer = connection.getresponse()
        assert (answer.status, answer.getheader("Location")) == (301, "https://clearance.example/docs?a=b")


def test_what_a_client_says_of_where_it_comes_from__is_not_handed_on(proxy: Proxy, web: Web) -> None:
    ask(
        proxy,
        "/docs",
        source="127.0.0.2",
        X_Request_Id="the-client-s",
        X_Forwarded_For="203.0.113.9",
        X_Forwarded_Proto="http",
        X_Forwarded_Host="evil.example",
        Forwarded="for=203.0.113.9",
    )
    _, headers = web.handed_on[-1]
    assert headers.get_all("X-Forwarded-For") == ["127.0.0.2"]
    assert headers.get_all("X-Forwarded-Proto") == ["https"]
    assert headers.get_all("X-Request-Id") == ["the-client-s"]
    assert not {"forwarded", "x-forwarded-host"} & {name.lower() for name in headers}


@pytest.mark.parametrize("path", ["/metrics", "/%6detrics", "//metrics", "/docs/../metrics"])
def test_metrics__for_this_machine_alone(proxy: Proxy, web: Web, path: str) -> None:
    assert refused(*ask(proxy, path, source="127.0.0.2")) == (403, "permission_denied")
    assert ask(proxy, path)[0].status == 204


def test_logs__hold_every_request_under_the_service_s_name_for_it_and_no_token(proxy: Proxy, web: Web) -> None:
    asked = {
        "/docs?name=somebody": "/docs",
        FEED: "/api/v1/expiries/feeds/...",
        FEED.replace("feeds", "%66eeds"): "/api/v1/expiries/",
        f"/nowhere/{tokens.PREFIX}{'x' * 43}": "/nowhere/...",
        f"/nowhere/{tokens.LINK_PREFIX}{'x' * 43}": "/nowhere/...",
    }
    names = []
    for path in asked:
        ask(proxy, path)
        names.append(str(web.handed_on[-1][1]["X-Request-Id"]))
    logged = proxy.logged(*names)
    for name, address in zip(names, asked.values(), strict=True):
        assert re.search(rf'"GET {re.escape(address)}" 204 .* {name}$', logged, re.MULTILINE)
    assert not re.search("x{20}|somebody", logged)


def test_several_web_processes__are_all_asked_and_a_lost_one_is_skipped(tmp_path: Path) -> None:
    with (
        serving(Web("127.0.0.2")) as first,
        serving(Web("127.0.0.3", first.server_address[1])) as second,
        serving(Names("127.0.0.2", "127.0.0.3", "127.0.0.4")) as names,
        proxying(
            tmp_path / "nginx", f"web:{first.server_address[1]}", resolver=f"127.0.0.1:{names.server_address[1]}"
        ) as several,
    ):
        assert {ask(several, "/docs")[0].status for _ in range(40)} == {204}  # nginx begins anywhere
        assert min(len(first.handed_on), len(second.handed_on)) >= 1


def test_web_process_away__is_a_problem_with_retry_after(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as door:
        nobody = f"127.0.0.1:{door.getsockname()[1]}"
    with proxying(tmp_path / "nginx", nobody) as alone:
        answer, body = ask(alone, FEED, Accept_Language="es-MX,es;q=0.9")
        assert refused(answer, body) == (502, "service_unreachable")
        assert json.loads(body)["title"] == "Servicio no disponible"
        assert answer.getheader("Retry-After") == "5"
        answer, other = ask(alone, "/docs")
        assert refused(answer, other) == (502, "service_unreachable")
        logged = alone.logged(json.loads(body)["instance"], json.loads(other)["instance"])
        assert "/docs HTTP/1.1" in logged  # as nginx writes it beside an error
        assert "x" * 20 not in logged
