"""From the body of a walk-around to the frozen values that the rules take; nothing that a driver wrote is lost on it.

What does not fit stands in what is queried. An answer or a fault that cannot be read at all, or is one too many, stands
as a fault in the words of the phone: it bars its unit until a foreman has looked at it and graded it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from common.api.field_bodies import CUT, UNREAD, FieldBody, as_text
from common.api.instants import read_instant
from common.errors import Invalid
from common.text import readable_text
from defects.api.field_queries import queries_of
from defects.api.walkarounds.bounding import bounded
from defects.enums import WalkaroundKind
from defects.rules.catalogue.facts import Conditions
from defects.rules.walkarounds.submission import (
    GivenCheck,
    GivenFault,
    GivenLook,
    GivenMeter,
    GivenReport,
    GivenSignature,
    GivenUnit,
    Submission,
)
from fleet.enums import SignatureMethod

SAID = ("method", "signed_at", "shown")
"""A signature that says none of these is none."""

LONGEST_FAULT = 1000
NO_UNIT = "?"
"""What a report is on that says no unit; no unit is called so."""


@dataclass(frozen=True)
class Sent:
    """What was sent: its hash, its whole text, and when it came in."""

    body_hash: str
    text: str
    received_at: datetime


def submission_of(read: FieldBody, sent: Sent) -> Submission:
    """The walk-around as frozen values. Invalid `unsigned`."""
    read = bounded(read)
    given = read.given
    signature = given.get("signature", {})
    if not any(signature.get(name) for name in SAID):
        raise Invalid("unsigned", pointer="/signature")
    signed_at = signature.get("signed_at", given.get("finished_at", sent.received_at))
    finished_at = given.get("finished_at", signed_at)
    kind = given.get("kind", WalkaroundKind.OTHER)
    return Submission(
        kind=kind,
        started_at=given.get("started_at", finished_at),
        finished_at=finished_at,
        sent_at=_clock(read),
        time_given="finished_at" in given,
        catalogue=given.get("catalogue", ""),
        site=given.get("site", ""),
        team_mate=given.get("team_mate", ""),
        coupled=given.get("coupled"),
        conditions=Conditions(
            **given.get("conditions", {}),
            coupled=given.get("coupled"),
            walk_kind=None if kind == WalkaroundKind.OTHER else kind,
        ),
        units_of_others=tuple(_units(given.get("units_of_others", ()))),
        reports=tuple(_reports(given)),
        signature=GivenSignature(**{"method": SignatureMethod.OTHER, "shown": "", **signature, "signed_at": signed_at}),
        body_hash=sent.body_hash,
        queries=queries_of(read.odd),
        as_sent=sent.text if read.odd else "",
    )


def _clock(read: FieldBody) -> datetime | None:
    """The phone's clock at this sending; one that had to be read otherwise tells nothing."""
    odd = any(item.place == ("sent_at",) for item in read.odd)
    clock: datetime | None = None if odd else read.given.get("sent_at")
    return clock


def _units(given: Iterable[Mapping[str, str]]) -> Iterator[GivenUnit]:
    names = ("kind", "number", "owner", "vin", "plate", "plate_state")
    for unit in given:
        if all(unit.get(name) for name in names[:3]):
            yield GivenUnit(**{name: unit.get(name, "") for name in names})


def _reports(given: Mapping[str, Any]) -> Iterator[GivenReport]:
    for report in given.get("reports", ()):
        yield _report(report)
    unread = _unread(given, "reports")
    if unread:
        yield GivenReport(NO_UNIT, faults=tuple(unread))


def _report(given: Mapping[str, Any]) -> GivenReport:
    faults = [GivenFault(**{**fault, "photos": tuple(fault.get("photos", ()))}) for fault in _worded(given)]
    return GivenReport(
        unit=given.get("unit") or NO_UNIT,
        checks=tuple(_check(check) for check in given.get("checks", ())),
        faults=(*faults, *_unread(given, "checks"), *_unread(given, "faults")),
        meters=tuple(GivenMeter(meter.get("meter", ""), meter.get("shown", "")) for meter in given.get("meters", ())),
        looked_at=tuple(
            GivenLook(look.get("leg", ""), _spelled(look.get("at", ""))) for look in given.get("looked_at", ())
        ),
    )


def _spelled(at: str) -> str:
    """An instant as everywhere else is read; what is none stays as it was written."""
    instant = read_instant(at)
    return at if instant is None else instant.isoformat()


def _worded(given: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """The faults; one that says nothing is a fault all the same."""
    return ({**fault, "text": fault.get("text") or CUT} for fault in given.get("faults", ()))


def _unread(given: Mapping[str, Any], name: str) -> list[GivenFault]:
    """All of a list that could not be read, as one fault in the words of the phone."""
    left = given.get(UNREAD, {}).get(name, ())
    if not left:
        return []
    text = readable_text(" ".join(item if isinstance(item, str) else as_text(item) for item in left)).strip() or CUT
    return [GivenFault(text if len(text) <= LONGEST_FAULT else text[: LONGEST_FAULT - 1] + CUT)]


def _check(given: Mapping[str, Any]) -> GivenCheck:
    correction = given.get("correction", {})
    rest = {name: value for name, value in given.items() if name not in {"correction", "photos"}}
    return GivenCheck(
        **{"point": "", "answer": "", **rest},
        corrected_what=correction.get("what", ""),
        corrected_by=correction.get("by", ""),
        corrected_photo=correction.get("photo", ""),
        photos=tuple(given.get("photos", ())),
    )
