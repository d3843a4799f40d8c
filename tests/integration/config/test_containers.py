"""The containers of docker-compose.yml: a valid file, and every command and health check of it at work.

No container is started here: the commands run as processes of this machine, with the same variables.
"""

import os
import re
import shlex
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from ipaddress import ip_address, ip_network
from pathlib import Path
from typing import Any

import pytest
import yaml

from config.env import CHECKOUT
from tests.support.committing import CommittingDatabase
from tests.support.needs import need_program
from tests.support.ports import free_port

pytestmark = pytest.mark.long

VALUES = {
    "SECRET_KEY": "known-to-everyone-and-used-by-these-tests-of-the-containers-alone",
    "ALLOWED_HOSTS": "clearance.example",
    "POSTGRES_PASSWORD": "a",
    "OWNER_PASSWORD": "b",
    "WEB_PASSWORD": "c",
    "PURGE_PASSWORD": "d",
    "REDIS_PASSWORD": "e",
}
WAIT_S = 30.0
PATIENCE = {"--timeout=5": "--timeout=1"}
"""How long the worker's check waits for an answer; here there is none to wait for from across a network."""


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    """The file as docker-compose itself understands it, every value filled in."""
    program = need_program("docker-compose")
    done = subprocess.run(
        [program, "config"], cwd=CHECKOUT, env={**os.environ, **VALUES}, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    read: dict[str, Any] = yaml.safe_load(done.stdout)
    return read


def test_value_missing__the_file_is_refused_and_names_it() -> None:
    program = need_program("docker-compose")
    values = {name: value for name, value in VALUES.items() if name != "SECRET_KEY"}

    done = subprocess.run(
        [program, "config"], cwd=CHECKOUT, env={**os.environ, **values}, capture_output=True, text=True, check=False
    )

    assert done.returncode != 0
    assert "a long random text" in done.stderr


def test_services__are_complete_restart_and_are_watched(compose: dict[str, Any]) -> None:
    services = compose["services"]

    assert set(services) == {"proxy", "postgres", "redis", "migrate", "web", "worker", "beat"}
    assert {name for name, service in services.items() if service["restart"] != "unless-stopped"} == {"migrate"}
    assert {name for name, service in services.items() if "healthcheck" not in service} == {"migrate"}
    assert set(compose["volumes"]) == {"database", "broker", "buffered", "media", "digests"}


def test_roles__only_the_migration_runs_as_owner(compose: dict[str, Any]) -> None:
    users = {
        name: service["environment"]["DATABASE_URL"].partition("//")[2].partition(":")[0]
        for name, service in compose["services"].items()
        if "DATABASE_URL" in service.get("environment", {})
    }

    assert users == {
        "migrate": "reefer_owner",
        "web": "reefer_web",
        "worker": "reefer_web",
        "beat": "reefer_web",
    }
    purging = {
        name: service["environment"]["PURGE_DATABASE_URL"].partition("//")[2].partition(":")[0]
        for name, service in compose["services"].items()
        if "PURGE_DATABASE_URL" in service.get("environment", {})
    }
    assert purging == {"worker": "reefer_purge"}


def test_beat_and_worker_wait_for_the_broker_and_the_web_process_does_not(compose: dict[str, Any]) -> None:
    waits = {name: set(service.get("depends_on", {})) for name, service in compose["services"].items()}

    assert waits["web"] == {"migrate"}
    assert waits["worker"] == {"migrate", "redis"}
    assert waits["beat"] == {"redis"}


def test_outside__the_proxy_alone_is_reached_and_it_alone_is_believed(compose: dict[str, Any]) -> None:
    services = compose["services"]
    networks = {name: set(service["networks"]) for name, service in services.items()}

    assert {name for name, service in services.items() if "ports" in service} == {"proxy"}
    assert networks == {
        "proxy": {"front"},
        "web": {"front", "database"},
        "postgres": {"database"},
        "migrate": {"database"},
        "worker": {"database", "broker", "outward"},
        "beat": {"broker"},
        "redis": {"broker"},
    }
    assert {name for name, network in compose["networks"].items() if network.get("internal")} == {"database", "broker"}
    address = services["proxy"]["networks"]["front"]["ipv4_address"]
    assert services["web"]["environment"]["TRUSTED_PROXIES"] == address
    (given,) = compose["networks"]["front"]["ipam"]["config"]
    assert ip_address(address) in ip_network(given["subnet"])
    assert ip_address(address) not in ip_network(given["ip_range"])


def test_every_container__may_change_nothing_but_its_volumes(compose: dict[str, Any]) -> None:
    for name, service in compose["services"].items():
        assert service["read_only"] is True, name
        assert service["cap_drop"] == ["ALL"], name
        assert service["security_opt"] == ["no-new-privileges:true"], name
        assert set(service["logging"]["options"]) == {"max-size", "max-file"}, name
        # Postgres and Redis are told their users; the image of the service names its own.
        assert ("user" in service) == (name in {"postgres", "redis"}), name
    assert {name for name, service in compose["services"].items() if "cap_add" in service} == {"proxy"}
    writing = {
        name: {mount.partition(":")[0] for mount in service.get("volumes", []) if not mount.endswith(":ro")}
        for name, service in compose["services"].items()
    }
    assert {name for name, volumes in writing.items() if "digests" in volumes} == {"worker"}
    assert {name for name, volumes in writing.items() if "media" in volumes} == {"web", "worker"}


def test_images__are_of_a_stated_version(compose: dict[str, Any]) -> None:
    images = {service["image"] for service in compose["services"].values()}
    bases = re.findall(r"^FROM (\S+)", (CHECKOUT / "Dockerfile").read_text(), re.MULTILINE)
    for image in [*images - {"reefer-clearance:local"}, *bases]:
        assert re.search(r":\d+\.\d+", image), image


def _here(words: list[str]) -> list[str]:
    """The command with the programs of this environment, as the image finds its own first."""
    scripts = Path(sys.executable).parent
    own = {"python": sys.executable, "celery": str(scripts / "celery"), "gunicorn": str(scripts / "gunicorn")}
    return [own.get(words[0], words[0]), *words[1:]]


def _variables(service: dict[str, Any], **changes: str) -> dict[str, str]:
    paths = f"{Path(sys.executable).parent}:{os.environ['PATH']}"
    given = {name: str(value) for name, value in service["environment"].items()}
    # A container inherits nothing; what the suite itself runs under must not make a demo of it.
    around = {name: value for name, value in os.environ.items() if name != "LOCAL_DEMO"}
    return {**around, "DJANGO_SETTINGS_MODULE": "config.settings.base", "PATH": paths, **given, **changes}


@contextmanager
def _running(words: list[str], variables: Mapping[str, str], log: Path) -> Iterator["subprocess.Popen[bytes]"]:
    with log.open("wb") as output:
        process = subprocess.Popen(words, cwd=CHECKOUT, env=variables, stdout=output, stderr=output)
        try:
            yield process
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(WAIT_S)


def _check(service: dict[str, Any], variables: Mapping[str, str], **replaced: str) -> int:
    """Run the service's health check once and return its status."""
    kind, *words = service["healthcheck"]["test"]
    if kind == "CMD-SHELL":
        words = shlex.split(words[0].replace("$$HOSTNAME", socket.gethostname()))
    words = [replaced.get(word, word) for word in words]
    return subprocess.run(
        _here(words), cwd=CHECKOUT, env=variables, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ).returncode


def _wait_until_healthy(
    service: dict[str, Any], variables: Mapping[str, str], log: Path, *, begun: Callable[[], bool], **replaced: str
) -> None:
    """Check again and again once the service shows that it has begun: each check is a process of its own."""
    until = time.monotonic() + WAIT_S
    while not begun() or _check(service, variables, **replaced) != 0:
        assert time.monotonic() < until, log.read_text()
        time.sleep(0.1)


@pytest.fixture
def files(tmp_path: Path) -> dict[str, str]:
    """What the image names for files, on this machine."""
    return {
        "MEDIA_ROOT": str(tmp_path / "media"),
        "HISTORY_DIGEST_DIR": str(tmp_path / "digests"),
        "STATIC_ROOT": str(tmp_path / "static"),
        "TMPDIR": str(tmp_path),
    }


@pytest.fixture
def broker(compose: dict[str, Any], tmp_path: Path) -> Iterator[str]:
    """The redis service's own command on a socket of its own; yields its address."""
    need_program("redis-server")
    path = tmp_path / "redis.sock"
    words = [*compose["services"]["redis"]["command"], "--port", "0", "--unixsocket", str(path), "--dir", str(tmp_path)]
    with _running(words, os.environ, tmp_path / "redis.log"):
        until = time.monotonic() + WAIT_S
        while not path.exists():
            assert time.monotonic() < until, (tmp_path / "redis.log").read_text()
            time.sleep(0.05)
        yield f"redis+socket://:{VALUES['REDIS_PASSWORD']}@{path}"


def test_migrate__makes_tables_and_grants_as_the_owner(
    compose: dict[str, Any], committing_db: CommittingDatabase, files: dict[str, str]
) -> None:
    service = compose["services"]["migrate"]

    done = subprocess.run(
        _here(service["command"]),
        cwd=CHECKOUT,
        env=_variables(service, **files, DATABASE_URL=committing_db.owner.url()),
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert "No migrations to apply" in done.stdout
    assert "reefer_web may work with" in done.stdout
    assert "reefer_purge may call" in done.stdout


def test_web__answers_its_health_check_and_fails_it_when_stopped(
    compose: dict[str, Any], committing_db: CommittingDatabase, files: dict[str, str], tmp_path: Path
) -> None:
    service = compose["services"]["web"]
    variables = _variables(service, **files, DATABASE_URL=committing_db.web.url(), WEB_CONCURRENCY="1")
    subprocess.run(_image_s_collectstatic(), cwd=CHECKOUT, env=variables, check=True)
    port = free_port()
    log = tmp_path / "web.log"

    command = [word.replace("0.0.0.0:8000", f"127.0.0.1:{port}") for word in _here(service["command"])]
    variables["TRUSTED_PROXIES"] = "127.0.0.1"
    with _running(command, variables, log):
        _wait_until_healthy(
            service, variables, log, begun=lambda: "Listening at" in log.read_text(), **{"8000": str(port)}
        )
        page = _get(port, "/docs")
        script = re.search(r'src="(/static/[^"]+swagger-ui-bundle\.[0-9a-f]+\.js)"', page)
        assert script is not None, page
        assert len(_get(port, script[1])) > 100_000

    assert _check(service, variables, **{"8000": str(port)}) != 0


def _image_s_collectstatic() -> list[str]:
    """The command as the Dockerfile runs it."""
    text = (CHECKOUT / "Dockerfile").read_text()
    found = re.search(r"python manage\.py (collectstatic .*)", text)
    assert found is not None
    return [sys.executable, "manage.py", *shlex.split(found[1])]


def _get(port: int, path: str) -> str:
    """Ask as the proxy in front does: for the public host, over TLS."""
    headers = {"Host": "clearance.example", "X-Forwarded-Proto": "https"}
    question = urllib.request.Request(f"http://127.0.0.1:{port}{path}", headers=headers)
    with urllib.request.urlopen(question, timeout=WAIT_S) as answer:
        return str(answer.read().decode())


def test_worker__answers_its_health_check_and_knows_the_tasks_of_the_schedule(
    compose: dict[str, Any], committing_db: CommittingDatabase, files: dict[str, str], broker: str, tmp_path: Path
) -> None:
    service = compose["services"]["worker"]
    variables = _variables(service, **files, DATABASE_URL=committing_db.web.url(), REDIS_URL=broker)
    log = tmp_path / "worker.log"

    with _running(_here(service["command"]), variables, log):
        _wait_until_healthy(service, variables, log, begun=lambda: "[queues]" in log.read_text(), **PATIENCE)

    assert _check(service, variables, **PATIENCE) != 0


def test_beat__leaves_a_sign_of_life_that_grows_old(
    compose: dict[str, Any], committing_db: CommittingDatabase, files: dict[str, str], broker: str, tmp_path: Path
) -> None:
    service = compose["services"]["beat"]
    variables = _variables(service, **files, DATABASE_URL=committing_db.web.url(), REDIS_URL=broker)
    log = tmp_path / "beat.log"
    assert _check(service, variables) != 0

    sign = tmp_path / "reefer-clearance-beat"
    with _running(_here(service["command"]), variables, log):
        _wait_until_healthy(service, variables, log, begun=sign.exists)

    os.utime(sign, (time.time() - 600, time.time() - 600))
    assert _check(service, variables) != 0


def test_dockerfile__copies_every_app_and_runs_as_nobody_special() -> None:
    lines = (CHECKOUT / "Dockerfile").read_text().splitlines()

    copied = {line.split()[1] for line in lines if line.startswith("COPY ") and not line.startswith("COPY --from")}
    only_for_demo_and_tests = {"fixtures", "tests"}
    packages = {path.parent.name for path in CHECKOUT.glob("*/__init__.py")} - only_for_demo_and_tests
    assert packages - copied == set()
    assert {
        path for path in copied if path != "requirements/production.txt" and not (CHECKOUT / path).exists()
    } == set()
    assert "USER clearance" in lines
