"""Walk-arounds as the rules are handed them: one report on a trailer, half an hour long, finished when asked for."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Any

from common.canonical import canonical_json, sha256_hex
from common.ids import uuid7
from defects.rules.walkarounds.body import (
    CheckBody,
    CorrectionBody,
    FaultBody,
    LookBody,
    MeterBody,
    ReportBody,
    SignatureBody,
    Submission,
    WalkaroundBody,
)
from fleet.enums import SignatureMethod

RECEIVED = datetime(2026, 3, 6, 18, tzinfo=UTC)


def body(finished_at: datetime = RECEIVED, **more: Any) -> WalkaroundBody:
    signature = SignatureBody.model_construct(method=SignatureMethod.DRAWN, signed_at=finished_at, shown="I sign.")
    given: dict[str, Any] = {
        "kind": "pre_trip",
        "started_at": finished_at - timedelta(minutes=30),
        "finished_at": finished_at,
        "signature": signature,
        "reports": [report_on("LR-45")],
    }
    return WalkaroundBody.model_construct(**{**given, **more})


def submission(finished_at: datetime = RECEIVED, **more: Any) -> Submission:
    """One that was never handed in before."""
    given = body(finished_at, **more)
    assert given.signature is not None
    return Submission(given, given.signature, sha256_hex(canonical_json([str(uuid7())])))


def report_on(
    unit: str,
    checks: Iterable[CheckBody] = (),
    faults: Iterable[FaultBody] = (),
    meters: Iterable[MeterBody] = (),
    looked_at: Iterable[LookBody] = (),
) -> ReportBody:
    return ReportBody.model_construct(
        unit=unit, checks=list(checks), faults=list(faults), meters=list(meters), looked_at=list(looked_at)
    )


def answer_to(point: str, answer: str, place: str = "", **more: Any) -> CheckBody:
    """One answer; `corrected_what`, `corrected_by` and `corrected_photo` say what was put right on the spot."""
    done = {name: more.pop(f"corrected_{name}", "") for name in ("what", "by", "photo")}
    correction = CorrectionBody.model_construct(**done) if any(done.values()) else more.get("correction")
    more = {**more, "photos": list(more.get("photos", ())), "correction": correction}
    return CheckBody.model_construct(point=point, answer=answer, place=place, **more)


def given_check(point: str, place: str = "", answer: str = "defect", **more: Any) -> CheckBody:
    return answer_to(point, answer, place, **more)


def fault_told(text: str, place: str = "", **more: Any) -> FaultBody:
    return FaultBody.model_construct(text=text, place=place, **{**more, "photos": list(more.get("photos", ()))})


def leg_seen(leg: str, at: str = "") -> LookBody:
    return LookBody.model_construct(leg=leg, at=at)


def meter_shown(meter: str, shown: str) -> MeterBody:
    return MeterBody.model_construct(meter=meter, shown=shown)
