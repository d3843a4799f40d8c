"""What the log of security events said, event by event."""

from collections.abc import Sequence

import pytest


def told(caplog: pytest.LogCaptureFixture, *names: str) -> Sequence[str]:
    """The lines of the log `security`, those of the named events alone where any is named."""
    lines = [record.getMessage() for record in caplog.records if record.name == "security"]
    return [line for line in lines if not names or line.partition(" ")[0] in names]
