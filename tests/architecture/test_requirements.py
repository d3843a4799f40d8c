"""What is installed is pinned, and neither it nor any other file of the project names a place to fetch it from."""

import re
import subprocess
import tomllib
from pathlib import Path

import pytest

from config.env import CHECKOUT

PINNED = sorted((CHECKOUT / "requirements").glob("*.txt"))
LOCKS = ("uv.lock", "pylock.toml", "package-lock.json", "poetry.lock")
# Put together here, so that this file names none of them.
HOSTS = [f"py{'pi'}.org", f"python{'hosted'}", f"registry.npm{'js'}", f"deb.deb{'ian'}", f"github{'usercontent'}"]


def _tracked() -> list[Path]:
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=CHECKOUT, capture_output=True, check=True).stdout
    return [CHECKOUT / name for name in listed.decode().split("\0") if name]


def test_sets__are_those_that_make_installs() -> None:
    assert [path.name for path in PINNED] == ["contract.txt", "demo.txt", "dev.txt", "production.txt"]


@pytest.mark.parametrize("path", PINNED, ids=lambda path: path.name)
def test_requirements__name_no_address_and_no_option(path: Path) -> None:
    text = path.read_text()

    assert "://" not in text
    assert [line for line in text.splitlines() if line.startswith("-")] == []


@pytest.mark.parametrize("path", PINNED, ids=lambda path: path.name)
def test_requirements__every_package_is_pinned_with_hashes(path: Path) -> None:
    logical = path.read_text().replace("\\\n", " ")
    packages = [line for line in logical.splitlines() if line and not line.lstrip().startswith("#")]

    assert len(packages) > 20
    loose = [line[:60] for line in packages if not re.match(r"[a-z0-9._-]+==\S+ .*--hash=sha256:[0-9a-f]{64}", line)]
    assert loose == []


def test_requirements__hold_every_dependency_asked_for() -> None:
    asked = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())
    service, apart = asked["project"]["dependencies"], asked["dependency-groups"]["contract"]

    for path in PINNED:
        wanted = apart if path.name == "contract.txt" else service
        names = {re.split(r"[\[<>=~]", line)[0] for line in wanted}
        pinned = {line.partition("==")[0] for line in path.read_text().splitlines() if "==" in line}
        assert names - pinned == set(), path.name


def test_tracked_files__name_no_registry() -> None:
    naming = [
        f"{path.relative_to(CHECKOUT)}: {host}"
        for path in _tracked()
        for host in HOSTS
        if host.encode() in path.read_bytes()
    ]

    assert naming == []


def test_tracked_files__hold_no_lock_with_addresses() -> None:
    assert [path.name for path in _tracked() if path.name in LOCKS] == []
