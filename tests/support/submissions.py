"""Walk-arounds as the rules are handed them: one report on a trailer, half an hour long, finished when asked for."""

from datetime import UTC, datetime, timedelta
from typing import Any

from defects.rules.walkarounds.submission import GivenCheck, GivenReport, GivenSignature, Submission

RECEIVED = datetime(2026, 3, 6, 18, tzinfo=UTC)


def submission(finished_at: datetime = RECEIVED, **more: Any) -> Submission:
    given: dict[str, Any] = {
        "kind": "pre_trip",
        "started_at": finished_at - timedelta(minutes=30),
        "finished_at": finished_at,
        "signature": GivenSignature(method="drawn", signed_at=finished_at, shown="I sign."),
        "reports": (GivenReport("LR-45"),),
        "body_hash": "0" * 64,
    }
    return Submission(**{**given, **more})


def given_check(point: str, place: str = "", answer: str = "defect", **more: Any) -> GivenCheck:
    return GivenCheck(point=point, place=place, answer=answer, **more)
