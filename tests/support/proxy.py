"""nginx as the proxy in front, by the very file that compose mounts: only addresses, certificate and places differ."""

import getpass
import os
import shutil
import signal
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.client import HTTPSConnection
from pathlib import Path

from config.env import CHECKOUT
from tests.support.needs import need, need_program
from tests.support.ports import free_port

FILE = CHECKOUT / "config" / "deploy" / "nginx.conf"
WAIT_S = 10.0


@dataclass(frozen=True)
class Proxy:
    """A running proxy: its ports, and the folder of its certificate and logs."""

    https: int
    http: int
    folder: Path

    @property
    def certificate(self) -> Path:
        return self.folder / "fullchain.pem"

    def logged(self, *names: str) -> str:
        """Both logs once they tell of the requests of these names: nginx writes after it has answered."""
        until = time.monotonic() + WAIT_S
        while not all(f" {name}\n" in (self.folder / "access.log").read_text() for name in names):
            assert time.monotonic() < until, names
            time.sleep(0.01)
        return "".join(log.read_text() for log in sorted(self.folder.glob("*.log")))

    def connection(self, source: str = "127.0.0.1", timeout: float = WAIT_S) -> HTTPSConnection:
        """A connection over TLS to it, from an address of loopback."""
        trusted = ssl.create_default_context(cafile=str(self.certificate))
        return HTTPSConnection("127.0.0.1", self.https, source_address=(source, 0), timeout=timeout, context=trusted)


def with_places(text: str, folder: Path, *, web: str, resolver: str, https: int, http: int) -> str:
    """The file with other addresses, another certificate and other places for logs and what is buffered."""
    changes = {
        "user www-data;": f"user {getpass.getuser()};",
        "web:8000": web,
        "resolver 127.0.0.11 ": f"resolver {resolver} ",
        "listen 443 ": f"listen 127.0.0.1:{https} ",
        "listen 80 ": f"listen 127.0.0.1:{http} ",
        "/etc/nginx/tls/": f"{folder}/",
        "/var/log/nginx/": f"{folder}/",
        "http {\n": "http {\n"
        + "".join(
            f"{kind}_temp_path {folder}/{kind};\n" for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
        ),
    }
    for there, here in changes.items():
        assert there in text, there
        text = text.replace(there, here)
    return text


def nginx() -> str | None:
    """The program: Debian has it where only root looks."""
    return shutil.which("nginx", path=f"{os.environ['PATH']}:/usr/sbin")


@contextmanager
def proxying(folder: Path, web: str, resolver: str = "127.0.0.11") -> Iterator[Proxy]:
    """Run nginx before a web process at `host:port` until the block ends; a name is looked up at the resolver."""
    program = nginx()
    need(program, "nginx")
    assert program is not None
    folder.mkdir()
    _make_certificate(folder)
    proxy = Proxy(free_port(), free_port(), folder)
    configuration = folder / "nginx.conf"
    configuration.write_text(
        with_places(FILE.read_text(), folder, web=web, resolver=resolver, https=proxy.https, http=proxy.http)
    )
    command = [program, "-c", str(configuration), "-e", f"{folder}/error.log", "-g", f"daemon off; pid {folder}/pid;"]
    with (folder / "said").open("wb") as output:
        process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=output, stderr=output)
    try:
        until = time.monotonic() + WAIT_S
        while not (folder / "pid").exists():
            assert process.poll() is None, (folder / "said").read_text()
            assert time.monotonic() < until
            time.sleep(0.01)
        yield proxy
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(WAIT_S)


def _make_certificate(folder: Path) -> None:
    command = (
        f"{need_program('openssl')} req -x509 -nodes -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -days 2"
        " -subj /CN=clearance.example -addext subjectAltName=DNS:clearance.example,IP:127.0.0.1"
        f" -keyout {folder}/privkey.pem -out {folder}/fullchain.pem"
    )
    subprocess.run(command.split(), check=True, capture_output=True)
