"""What some tests need from the machine: skipped with a reason where it is missing, failed where all is required."""

import os
import shutil

import pytest


def need(there: object, what: str) -> None:
    """Skip the test unless `there` is true; with REQUIRE_ALL=1, as in CI, a missing thing is a failure."""
    if there:
        return
    if os.environ.get("REQUIRE_ALL") == "1":
        pytest.fail(f"{what} is required here")
    pytest.skip(f"needs {what}")


def need_program(name: str) -> str:
    """Return the path of a program; see `need`."""
    path = shutil.which(name)
    need(path, name)
    assert path is not None
    return path
