"""The beat's health check: a sign of life that is there, and not old."""

import os
import time
from pathlib import Path

import pytest

from config import health


def test_beat__healthy_while_it_turns_and_not_before_nor_long_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sign = tmp_path / "sign"
    monkeypatch.setattr(health, "SIGN_OF_LIFE", sign)
    with pytest.raises(FileNotFoundError):
        health.beat()
    sign.touch()
    health.beat()
    os.utime(sign, (time.time() - 600, time.time() - 600))
    with pytest.raises(TimeoutError, match="has not turned for 600 s"):
        health.beat()
