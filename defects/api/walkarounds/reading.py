"""From what a phone sent to the submission that the rules and services take; nothing that a driver wrote is lost on it.

What does not fit stands in the flags. An answer or a fault that cannot be read at all, or is one too many, stands as a
fault in the words of the phone: it bars its unit until a foreman has looked at it and graded it.
"""

from collections.abc import Iterable

from common.api.signed_bodies import CUT, Odd, OddCode, as_text
from common.api.signed_reading import SignedRead
from common.errors import Invalid
from common.text import readable_text
from defects.api.records import flags_of
from defects.enums import CheckAnswer
from defects.rules.walkarounds.body import CheckBody, FaultBody, ReportBody, Submission, UnitBody, WalkaroundBody

MOST_FOUND = 400
"""Answers that say more than that a point was fine or not looked at, and faults, of one walk-around: each costs a
defect, entries of history and an order. A driver finds a dozen, and a combination has fewer points than stand one by
one."""

QUIET = frozenset({CheckAnswer.FINE, CheckAnswer.NOT_APPLICABLE, CheckAnswer.NOT_REACHED})
LONGEST_FAULT = 1000
NO_UNIT = "?"
"""What a report is on that says no unit; no unit is called so."""


def submission_of(read: SignedRead[WalkaroundBody], body_hash: str, text: str) -> Submission:
    """What was read, with the hash and the whole text of what was sent. Invalid `unsigned`."""
    body, odd = read.body, list(read.odd)
    signature = body.signature
    if signature is None or not (signature.method or signature.signed_at or signature.shown):
        raise Invalid("unsigned", pointer="/signature")
    if odd or _found(body) > MOST_FOUND:
        reports = _bounded(body.reports)
        if reports is not body.reports:
            odd.append(Odd(("reports",), OddCode.LIST_CUT))
        body = body.model_copy(update=_mended(body, reports, odd))
    return Submission(body, signature, body_hash, flags_of(odd), text if odd else "")


def is_loud(check: CheckBody) -> bool:
    """Whether something may be found by it; a measured value may be beyond its limit whatever the answer is."""
    return check.answer not in QUIET or bool(check.value)


def _found(body: WalkaroundBody) -> int:
    return sum(len(report.faults) + sum(map(is_loud, report.checks)) for report in body.reports)


def _mended(body: WalkaroundBody, reports: list[ReportBody], odd: list[Odd]) -> dict[str, object]:
    """What stands otherwise in a body that could not be read as it was meant."""
    lost = [FaultBody.model_construct(text=text) for text in _words(body.unread.get("reports", ()))]
    further = [ReportBody.model_construct(unit=NO_UNIT, faults=lost)] if lost else []
    return {
        "reports": [*(_told(report) for report in reports), *further],
        "units_of_others": [unit for unit in body.units_of_others if _is_named(unit)],
        # a clock of the phone's that had to be read otherwise tells nothing
        "sent_at": None if any(item.place == ("sent_at",) for item in odd) else body.sent_at,
    }


def _is_named(unit: UnitBody) -> bool:
    return bool(unit.kind and unit.number and unit.owner)


def _told(report: ReportBody) -> ReportBody:
    """A report with all that could not be read as faults; a fault that says nothing is one all the same."""
    faults = [fault if fault.text else fault.model_copy(update={"text": CUT}) for fault in report.faults]
    for name in ("checks", "faults"):
        faults += [FaultBody.model_construct(text=text) for text in _words(report.unread.get(name, ()))]
    return report.model_copy(update={"unit": report.unit or NO_UNIT, "faults": faults})


def _words(left: Iterable[object]) -> list[str]:
    """All of a list that could not be read, as one fault in the words of the phone."""
    said = [item if isinstance(item, str) else as_text(item) for item in left]
    if not said:
        return []
    text = readable_text(" ".join(said)).strip() or CUT
    return [text if len(text) <= LONGEST_FAULT else text[: LONGEST_FAULT - 1] + CUT]


def _bounded(reports: list[ReportBody]) -> list[ReportBody]:
    """The reports with no more than `MOST_FOUND` of what may be wrong standing one by one; the rest is unread."""
    room, bounded = MOST_FOUND, []
    for report in reports:
        changed: dict[str, object] = {}
        unread = dict(report.unread)
        for name, loud in (("checks", list(filter(is_loud, report.checks))), ("faults", report.faults)):
            beyond = loud[room:]
            room -= len(loud) - len(beyond)
            if beyond:
                out = {id(item) for item in beyond}
                changed[name] = [item for item in getattr(report, name) if id(item) not in out]
                said = [item.model_dump(mode="json", exclude_defaults=True) for item in beyond]
                unread[name] = [*said, *unread.get(name, ())]
        bounded.append(report.model_copy(update={**changed, "unread": unread}) if changed else report)
    return reports if all(new is old for new, old in zip(bounded, reports, strict=True)) else bounded
