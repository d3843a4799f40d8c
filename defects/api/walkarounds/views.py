"""PUT of a walk-around, from what a phone sent to what rules and services take, and reading its receipt again.

What does not fit stands in the flags. An answer or a fault that cannot be read at all, or is one too many, stands as a
fault in the words of the phone: it bars its unit until a foreman has looked at it and graded it.
"""

from collections.abc import Iterable, Mapping
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.response import Response

from common.api.parsers import FieldJSONParser, sent_object
from common.api.signed_bodies import CUT, Odd, OddCode, SignedBody, as_text, flags_of
from common.api.signed_reading import SignedRead, is_signed, read_signed
from common.canonical import canonical_json, sha256_hex
from common.errors import Invalid, or_not_found
from common.text import readable_text
from defects.api.walkarounds.receipts import NO_UNIT, ReceiptAnswer, receipt_answer
from defects.models import Walkaround
from defects.rules.walkarounds.body import CheckBody, FaultBody, ReportBody, Submission, UnitBody, WalkaroundBody
from defects.selectors.walkarounds.receipts import stored_receipt
from defects.services.walkarounds.intake import known_receipt, submit_walkaround
from defects.services.walkarounds.throttle import Throttle
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from fleet.enums import Role
from fleet.selectors.carrier.carrier import zone_of

MOST_FOUND = 400
"""Answers that say more than that a point was fine or not looked at, and faults, of one walk-around: each costs a
defect, entries of history and an order. A driver finds a dozen, and a combination has fewer points than stand one by
one."""

LONGEST_FAULT = 1000
LONGEST_UNIT = 160


def submission_of(read: SignedRead[WalkaroundBody], body_hash: str, text: str) -> Submission:
    """What was read, with the hash and the whole text of what was sent. Invalid `unsigned`."""
    body, odd = read.body, list(read.odd)
    signature = body.signature
    if signature is None or not is_signed(read):
        raise Invalid("unsigned", pointer="/signature")
    if odd or body.may_be_found > MOST_FOUND:
        reports = _bounded(body.reports)
        if reports is not body.reports:
            odd.append(Odd(("reports",), OddCode.LIST_CUT))
        body = body.model_copy(update=_mended(body, reports, odd))
    return Submission(body, signature, body_hash, flags_of(odd), text if odd else "")


def _mended(body: WalkaroundBody, reports: list[ReportBody], odd: list[Odd]) -> dict[str, object]:
    """What stands otherwise in a body that could not be read as it was meant."""
    further = [
        ReportBody.model_construct(unit=unit, faults=[FaultBody.model_construct(text=text) for text in _words(lost)])
        for unit, lost in _by_unit(body.unread.get("reports", ())).items()
    ]
    further += [ReportBody.model_construct(unit=NO_UNIT, faults=[lost]) for lost in _lost(body)]
    return {
        "reports": [*(_report_answer(report) for report in reports), *further],
        "units_of_others": [unit for unit in body.units_of_others if _is_named(unit)],
        # a clock of the phone's that had to be read otherwise tells nothing
        "sent_at": None if any(item.place == ("sent_at",) for item in odd) else body.sent_at,
    }


def _by_unit(lost: Iterable[object]) -> dict[str, list[object]]:
    """The reports that could not be read, by the unit that each names: it is barred, and not a unit on no record."""
    by_unit: dict[str, list[object]] = {}
    for report in lost:
        named = report.get("unit") if isinstance(report, Mapping) else None
        unit = readable_text(named, multiline=False).strip()[:LONGEST_UNIT] if isinstance(named, str) else ""
        if unit not in by_unit and len(by_unit) >= MOST_FOUND:
            unit = ""
        by_unit.setdefault(unit or NO_UNIT, []).append(report)
    return by_unit


def _is_named(unit: UnitBody) -> bool:
    return bool(unit.kind and unit.number and unit.owner)


def _report_answer(report: ReportBody) -> ReportBody:
    """A report with all that could not be read as faults; a fault that says nothing is one all the same."""
    checks = [check if check.point and check.answer else _noted(check) for check in report.checks]
    faults = [
        fault if fault.text else fault.model_copy(update={"text": _unknown_members(fault) or CUT})
        for fault in report.faults
    ]
    faults += _lost(report, "checks", "faults")
    return report.model_copy(update={"unit": report.unit or NO_UNIT, "checks": checks, "faults": faults})


def _noted(check: CheckBody) -> CheckBody:
    """A check without its point or its answer, with all else that it says in its note."""
    note = "; ".join(filter(None, (check.note, _unknown_members(check))))
    return check.model_copy(update={"note": _bounded_text(note)})


def _unknown_members(said: SignedBody) -> str:
    """What stands in a body under names that are not known, in the words of the phone."""
    unknown = [(name, item) for name, items in _unknown(said) for item in items]
    return " ".join(_words([f"{name}: {_as_said(item)}" for name, item in unknown], "; "))


def _unknown(said: SignedBody) -> Iterable[tuple[str, list[object]]]:
    return [(name, items) for name, items in said.unread.items() if name not in type(said).model_fields]


def _lost(said: SignedBody, *lists: str) -> list[FaultBody]:
    """The faults to grade that stand for what its lists, and lists and objects under unknown names, could not say."""
    left = [said.unread.get(name, []) for name in lists]
    left += [
        [{name: item} for item in items if item and isinstance(item, list | dict)] for name, items in _unknown(said)
    ]
    return [FaultBody.model_construct(text=text) for items in left for text in _words(items)]


def _as_said(item: object) -> str:
    return item if isinstance(item, str) else as_text(item)


def _bounded_text(text: str) -> str:
    return text if len(text) <= LONGEST_FAULT else text[: LONGEST_FAULT - 1] + CUT


def _words(left: Iterable[object], between: str = " ") -> list[str]:
    """All of a list that could not be read, as one fault in the words of the phone."""
    said: list[str] = []
    length = 0
    for item in left:
        said.append(_as_said(item))
        length += len(said[-1])
        if length > LONGEST_FAULT:
            break
    return [_bounded_text(readable_text(between.join(said)).strip() or CUT)] if said else []


def _bounded(reports: list[ReportBody]) -> list[ReportBody]:
    """The reports with no more than `MOST_FOUND` of what may be wrong, one by one; the rest is unread."""
    room, bounded = MOST_FOUND, []
    for report in reports:
        changed: dict[str, object] = {}
        unread = dict(report.unread)
        for name, loud in (("checks", [check for check in report.checks if check.may_find]), ("faults", report.faults)):
            beyond = loud[room:]
            room -= len(loud) - len(beyond)
            if beyond:
                out = {id(item) for item in beyond}
                changed[name] = [item for item in getattr(report, name) if id(item) not in out]
                said = [item.model_dump(mode="json", exclude_defaults=True) for item in beyond]
                unread[name] = [*said, *unread.get(name, ())]
        bounded.append(report.model_copy(update={**changed, "unread": unread}) if changed else report)
    return reports if all(new is old for new, old in zip(bounded, reports, strict=True)) else bounded


SENT_AT = "sent_at"
"""The one field that is of the sending and not of the walk-around: sent again, it is the same walk-around."""


class WalkaroundView(ServiceView):
    """One walk-around, named by the phone that made it."""

    parser_classes = (FieldJSONParser,)
    roles = {
        "put": frozenset({Role.DRIVER, Role.TRAINER, Role.MECHANIC, Role.FOREMAN}),
        "get": frozenset({Role.DRIVER, Role.TRAINER, Role.MECHANIC, Role.FOREMAN, Role.COMPLIANCE, Role.AUDITOR}),
    }

    @extend_schema(
        summary="Hand in a signed walk-around; sending it again is harmless",
        request=WalkaroundBody,
        responses={201: ReceiptAnswer, 200: ReceiptAnswer},
    )
    def put(self, request: ServiceRequest, key: UUID) -> Response:
        """201 with the receipt; 200 with the same receipt, marked as replayed, when it is known already.

        Refused is only what is not JSON (a name twice in one object included), larger than 1 MiB or nested more than
        32 levels deep, unsigned, signed by another person, or another body under the name; 404 for one that another
        person used. Whatever else differs from
        this description is kept and flagged: unknown fields and words, long texts, numbers for texts, nulls, instants
        without an offset or off the calendar. One that is larger than 128 KiB or has more than 100 findings waits (429)
        while another such of the same person is at work, or after much of them in ten minutes.
        """
        sent = sent_object(request)
        signed = {name: value for name, value in sent.items() if name != SENT_AT}
        body_hash = sha256_hex(canonical_json(signed))
        with Throttle(actor=request.person, now=request.now) as throttle:
            throttle.admit_text(sent.text)
            receipt = known_receipt(walkaround_id=key, body_hash=body_hash, actor=request.person, now=request.now)
            if receipt is None:
                read = read_signed(WalkaroundBody, sent, lambda: zone_of(sent.get("site")))
                submission = submission_of(read, body_hash, sent.text)
                throttle.admit_faults(submission.body.may_be_found)
                receipt = submit_walkaround(
                    walkaround_id=key, submission=submission, actor=request.person, now=request.now
                )
        answer = receipt_answer(receipt, request.person.language)
        return Response(answer, status=status.HTTP_200_OK if receipt.replayed else status.HTTP_201_CREATED)

    @extend_schema(summary="Read a receipt again", responses=ReceiptAnswer)
    def get(self, request: ServiceRequest, key: UUID) -> Response:
        """The receipt of a walk-around one may see: one's own, or any for the shop and the office."""
        walkaround = or_not_found(Walkaround.objects.visible_to(request.person).filter(pk=key).first(), "not_found")
        return Response(receipt_answer(stored_receipt(walkaround, now=request.now), request.person.language))
