"""Where a throwaway cluster's files go: into memory only where there is room and nobody else waits there."""

import os
from pathlib import Path

import pytest

from config.local import places


@pytest.fixture
def room(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Something that stands for the memory's folder, with room enough."""
    monkeypatch.setattr(places, "MEMORY_NEEDED", 1)
    return tmp_path


def test_room__a_folder_of_this_user_and_this_checkout(room: Path) -> None:
    found = places.in_memory(room)

    assert found is not None
    assert found.parent == room / f"reefer-clearance-{os.geteuid()}"
    assert (found.parent.stat().st_mode & 0o777, found.parent.stat().st_uid) == (0o711, os.geteuid())


def test_no_room__none_and_nothing_is_made(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(places, "MEMORY_NEEDED", 1 << 62)

    assert places.in_memory(room) is None
    assert list(room.iterdir()) == []


def test_no_memory_folder__none(room: Path) -> None:
    assert places.in_memory(room / "nowhere") is None


def test_a_stranger_s_link_in_its_place__none(room: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    (room / f"reefer-clearance-{os.geteuid()}").symlink_to(tmp_path_factory.mktemp("stranger"))

    assert places.in_memory(room) is None


def test_must_survive_a_power_cut__never_in_memory(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(places, "in_memory", lambda: room)

    assert places.throwaway(durable=True).parent == places.home() / "throwaway"
    assert places.throwaway(durable=False).parent == room / "throwaway"
