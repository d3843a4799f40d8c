"""What a supervisor that was killed could not remove, removed by the next one."""

import os
import re
import shutil
from pathlib import Path

from config.local import locks
from config.local.places import Place
from config.processes import lives

THROWAWAY_NAME = re.compile(r"(\d+)-[0-9a-f]{8}")
"""As `places.throwaway` writes it: the process that wanted it, and something random."""


def clear_socket(place: Place) -> None:
    """Remove the socket's folder that an earlier supervisor of this place noted; the caller holds the place."""
    if place.socket_note.exists():
        shutil.rmtree(Path(os.fsdecode(place.socket_note.read_bytes())), ignore_errors=True)
        place.socket_note.unlink()


def clear_throwaways(parent: Path) -> None:
    """Remove the throwaway clusters of processes that are gone, once nothing of them lives any more."""
    for folder in parent.iterdir():
        name = THROWAWAY_NAME.fullmatch(folder.name)
        if name and not lives(int(name[1])):
            try:
                _clear(Place(folder))
            except FileNotFoundError:
                continue  # another supervisor was faster


def _clear(place: Place) -> None:
    held = [locks.take(place.supervisor_lock), locks.take(place.server_lock)]
    if None not in held:
        clear_socket(place)
        shutil.rmtree(place.folder)
    for descriptor in held:
        if descriptor is not None:
            os.close(descriptor)
