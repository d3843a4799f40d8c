"""What docker-compose.yml says of its containers, as docker-compose itself reads it.

Their commands and health checks are run by `make production-check`.
"""

import os
import re
import subprocess
from ipaddress import ip_address, ip_network
from typing import Any

import pytest
import yaml

from config.env import CHECKOUT
from tests.support.needs import need_program

VALUES = {
    "SECRET_KEY": "known-to-everyone-and-used-by-these-tests-of-the-containers-alone",
    "ALLOWED_HOSTS": "clearance.example",
    "POSTGRES_PASSWORD": "a",
    "OWNER_PASSWORD": "b",
    "WEB_PASSWORD": "c",
    "PURGE_PASSWORD": "d",
    "REDIS_PASSWORD": "e",
}


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

    assert set(services) == {"proxy", "postgres", "redis", "migrate", "backup", "web", "worker", "beat"}
    assert {name for name, service in services.items() if service["restart"] != "unless-stopped"} == {
        "migrate",
        "backup",
    }
    assert {name for name, service in services.items() if "healthcheck" not in service} == {"migrate", "backup"}
    assert {name for name, service in services.items() if "profiles" in service} == {"backup"}
    assert set(compose["volumes"]) == {"database", "broker", "buffered", "media", "digests"}


def test_roles__only_migration_and_backup_run_as_owner(compose: dict[str, Any]) -> None:
    users = {
        name: service["environment"]["DATABASE_URL"].partition("//")[2].partition(":")[0]
        for name, service in compose["services"].items()
        if "DATABASE_URL" in service.get("environment", {})
    }

    assert users == {
        "migrate": "reefer_owner",
        "backup": "reefer_owner",
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
        "backup": {"database", "outward"},
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
    assert {name for name, volumes in writing.items() if "digests" in volumes} == {"worker", "backup"}
    assert {name for name, volumes in writing.items() if "media" in volumes} == {"web", "worker", "backup"}


def test_images__are_of_a_stated_version(compose: dict[str, Any]) -> None:
    images = {service["image"] for service in compose["services"].values()}
    bases = re.findall(r"^FROM (\S+)", (CHECKOUT / "Dockerfile").read_text(), re.MULTILINE)
    for image in [*images - {"reefer-clearance:local"}, *bases]:
        assert re.search(r":\d+\.\d+", image), image


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
