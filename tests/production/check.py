"""`python -m tests.production.check`: does docker-compose.yml, with what production installs alone, do the work?

Into an empty environment goes requirements/production.txt and nothing else. Every service runs by its own command,
variables and health check, only addresses and places being others, against a PostgreSQL and a Redis of the check's own;
somebody must sign in through the proxy over TLS, and one reminder must reach a mail server. Ends only what it started,
and itself after `PATIENCE_S`.
"""

import json
import re
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any, NoReturn

import psycopg

from config.env import CHECKOUT
from config.local.postgres import LocalPostgres, throwaway
from tests.production.services import CheckFailedError, Services, until
from tests.support.mail_sink import MailSink
from tests.support.ports import free_port
from tests.support.proxy import Proxy, nginx, proxying

PATIENCE_S = 300
PROGRAMS = ("docker-compose", "redis-server", "redis-cli", "openssl", "curl")
ADDRESS = "compliance@carrier.example"
HOST = "clearance.example"
PASSWORD = "a-password-of-this-check"


def _installed(folder: Path) -> Path:
    """The programs of an empty environment with the production set in it."""
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(folder)], check=True)
    pip = [sys.executable, "-m", "pip", "--python", str(folder), "--no-input", "--quiet", "--disable-pip-version-check"]
    wanted = ["--require-hashes", "-r", str(CHECKOUT / "requirements" / "production.txt")]
    # What is imported compiles itself; the rest of it need not be compiled at all.
    subprocess.run([*pip, "install", "--no-compile", *wanted], check=True)
    return folder / "bin"


def _services(folder: Path, database: LocalPostgres, sink: MailSink, redis: int, web: int, http: int) -> Services:
    there = "postgresql://reefer_{}:{}@postgres:5432/reefer"
    given = {
        "ALLOWED_HOSTS": HOST,
        "EMAIL_HOST": "127.0.0.1",
        "EMAIL_PORT": str(sink.port),
        **{name: f"{name.lower().replace('_', '-')}" for name in ("OWNER_PASSWORD", "WEB_PASSWORD", "PURGE_PASSWORD")},
    }
    elsewhere = {
        there.format("owner", given["OWNER_PASSWORD"]): database.owner.url(),
        there.format("web", given["WEB_PASSWORD"]): database.web.url(),
        there.format("purge", given["PURGE_PASSWORD"]): database.purge.url(),
        "@redis:6379": f"@127.0.0.1:{redis}",
        "redis-cli ping": f"redis-cli -p {redis} ping",
        "172.30.250.250": "127.0.0.1",
        "0.0.0.0:8000": f"127.0.0.1:{web}",
        "127.0.0.1:80/": f"127.0.0.1:{http}/",
        "health web 8000": f"health web {web}",
        "/srv/": f"{folder}/",
    }
    return Services(_installed(folder / "environment"), folder, given, elsewhere)


def _check(folder: Path, database: LocalPostgres, sink: MailSink) -> None:
    redis_port, web_port = free_port(), free_port()
    with proxying(folder / "proxy", f"127.0.0.1:{web_port}") as proxy:
        services = _services(folder, database, sink, redis_port, web_port, proxy.http)
        services.run("migrate")
        services.run("web", shlex.split(_collectstatic()))
        founding = (
            "--name=Check",
            "--usdot=1",
            "--time-zone=America/Chicago",
            "--username=adele",
            "--person=Adele Roth",
        )
        services.run("worker", ["python", "manage.py", "found_carrier", *founding], said=f"{PASSWORD}\n")
        with services.running("web") as web:
            until("the proxy is healthy", lambda: services.healthy("proxy"), web)
            _signs_in(proxy)
            _shows_documentation(proxy)
        if services.healthy("web"):
            raise CheckFailedError("the health check of a stopped web process passes")
    services.run("worker", ["python", "-m", "tests.production.rows", "paper", ADDRESS])
    with (
        psycopg.connect(database.owner.url(), autocommit=True) as connection,
        services.running("worker", once="Trying again in") as worker,
        services.running("redis", "--port", str(redis_port), "--bind", "127.0.0.1", "--dir", str(folder)) as redis,
    ):
        until("worker is healthy", lambda: services.healthy("worker"), redis, worker)
        # A beat says everything once when it starts; it is started anew for each step instead of waiting its minutes.
        with services.running("beat") as beat:
            until("the reminder is owed", _there(connection, "fleet_notification"), redis, worker, beat)
        services.run("worker", ["python", "-m", "tests.production.rows", "morning"])
        time.sleep(1)
        with services.running("beat") as beat:
            until("the morning's summary is owed", _there(connection, "fleet_delivery"), worker, beat)
        with services.running("beat") as beat:
            until("a letter came", lambda: bool(sink.messages), worker, beat)
        until("it is marked as sent", _there(connection, "fleet_delivery WHERE state = 'sent'"), worker)
        _is_well(services)
        if "Traceback" in services.log("worker"):  # asked before the broker goes, which a worker may complain of
            raise CheckFailedError(f"the worker failed at something:\n{services.log('worker')}")
    (letter,) = sink.messages
    told = str(letter.get_payload(0))
    if letter["To"] != ADDRESS or "insurance" not in told.lower():
        raise CheckFailedError(f"the letter is not the reminder:\n{letter}")


def _ask(proxy: Proxy, method: str, path: str, body: dict[str, str] | None = None) -> tuple[int, str]:
    with closing(proxy.connection()) as connection:
        headers = {"Host": HOST, "Content-Type": "application/json"}
        connection.request(method, path, json.dumps(body) if body else None, headers)
        answer = connection.getresponse()
        return answer.status, answer.read().decode()


def _signs_in(proxy: Proxy) -> None:
    status, said = _ask(proxy, "POST", "/api/v1/tokens", {"username": "adele", "password": PASSWORD, "device": "desk"})
    if status != 201 or not json.loads(said)["token"]:
        raise CheckFailedError(f"signing in through the proxy: {status} {said}\n{proxy.logged()}")
    sys.stdout.write("  somebody signs in through the proxy, over TLS\n")


def _shows_documentation(proxy: Proxy) -> None:
    """The page and the script that the image has collected."""
    page = _ask(proxy, "GET", "/docs")[1]
    script = re.search(r'src="(/static/[^"]+swagger-ui-bundle\.[0-9a-f]+\.js)"', page)
    if script is None or len(_ask(proxy, "GET", script[1])[1]) < 100_000:
        raise CheckFailedError(f"the documentation's script is not served:\n{page}")
    sys.stdout.write("  the documentation is served\n")


def _is_well(services: Services) -> None:
    """The doctor finds nothing wrong but what the check does otherwise: sender, folders, people without an address."""
    try:
        services.run("worker", ["python", "manage.py", "doctor"])
    except CheckFailedError as told:
        looked_at = re.findall(r"^(ok|WRONG) +([^:\n]+)", str(told), re.MULTILINE)
        if len(looked_at) < 10 or {name for how, name in looked_at if how == "WRONG"} - {"folders", "mail", "messages"}:
            raise
    sys.stdout.write("  the doctor finds settings, database, roles, broker, jobs and digests well\n")


def _collectstatic() -> str:
    """The command as the Dockerfile runs it."""
    found = re.search(r"python manage\.py collectstatic .*", (CHECKOUT / "Dockerfile").read_text())
    assert found is not None
    return found[0]


def _there(connection: "psycopg.Connection[Any]", rows: str) -> Callable[[], bool]:
    return lambda: connection.execute(f"SELECT FROM {rows}".encode()).fetchone() is not None


def _give_up(*_: object) -> NoReturn:
    raise CheckFailedError("it was told to stop, or took too long")


def main() -> int:
    """Run the check; 0 when the reminder came."""
    begun = time.monotonic()
    missing = [name for name in PROGRAMS if shutil.which(name) is None] + ([] if nginx() else ["nginx"])
    if missing:
        sys.exit(f"Missing here: {', '.join(missing)}")
    signal.signal(signal.SIGTERM, _give_up)
    signal.signal(signal.SIGALRM, _give_up)
    signal.alarm(PATIENCE_S)
    try:
        with (
            tempfile.TemporaryDirectory() as folder,
            LocalPostgres(throwaway(durable=False)) as database,
            MailSink() as sink,
        ):
            threading.Thread(target=sink.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()
            _check(Path(folder), database, sink)
            sink.shutdown()
    except CheckFailedError as why:
        sys.stderr.write(f"What production runs does not do the work: {why}\n")
        return 1
    sys.stdout.write(f"What production runs does the work ({time.monotonic() - begun:.0f} s).\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
