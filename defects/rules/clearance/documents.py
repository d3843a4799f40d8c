"""Which documents of a unit, the carrier or the driver bar a trip: missing, run out, or running out on the way."""

from datetime import date, timedelta

from defects.rules.clearance.answer import Facts
from defects.rules.clearance.clearance_request import ClearanceRequest, day_over
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.snapshot import DriverFact
from defects.rules.clearance.unit_facts import DocumentFact
from fleet.rules.documents.states import coverage


def judge_documents(
    documents: tuple[DocumentFact, ...], unit: str, clearance_request: ClearanceRequest, draft: DraftAnswer
) -> None:
    """Each document asked for must serve from leaving until arrival and the carrier's margin; in the yard, until now.

    `unit` is empty for documents of the carrier or the driver.
    """
    for document in documents:
        if _is_needed(document, clearance_request):
            _judge(document, unit, clearance_request, draft)


def judge_driver(driver: DriverFact, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """The driver's own documents, and whether the person named is a driver at all."""
    judge_documents(driver.documents, "", clearance_request, draft)
    if not driver.drives:
        draft.not_known(Code.DRIVER_NOT_ON_RECORD, "", EndsWhen.FACT_RECORDED)


def _is_needed(document: DocumentFact, clearance_request: ClearanceRequest) -> bool:
    return not document.needed_in or document.needed_in in clearance_request.us_states


def _judge(document: DocumentFact, unit: str, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    held = coverage(document.spans, clearance_request.leave_day, clearance_request.policy.reading)
    if not document.bars:
        if held.last_day is not None and clearance_request.as_of >= day_over(held.last_day, clearance_request.zone):
            draft.leave_open(Code.DOCUMENT_EXPIRED, unit, (*_named(document), ("last_day", held.last_day)))
        return
    if not document.spans:
        facts = _named(document)
        if document.missing_bars:
            draft.bar(Code.DOCUMENT_MISSING, unit, EndsWhen.DOCUMENT_RECORDED, facts, source=document.source)
        else:
            draft.not_known(Code.DOCUMENT_MISSING, unit, EndsWhen.DOCUMENT_RECORDED, facts)
        return
    if held.last_day is None:
        if not held.covered:
            draft.bar(
                Code.DOCUMENT_NOT_BEGUN,
                unit,
                EndsWhen.DOCUMENT_RECORDED,
                _facts(document, clearance_request),
                source=document.source,
            )
        return
    over = day_over(held.last_day, clearance_request.zone)
    margin = clearance_request.policy.document_margin if clearance_request.has_trip else timedelta(0)
    needed_until = clearance_request.arrive + margin
    if needed_until < over:
        leave_by = over - clearance_request.duration - margin
        draft.ends(leave_by, Code.DOCUMENT_ENDS_BEFORE_ARRIVAL, unit, (*_named(document), ("last_day", held.last_day)))
        return
    expired = clearance_request.as_of >= over
    draft.bar(
        Code.DOCUMENT_EXPIRED if expired else Code.DOCUMENT_ENDS_BEFORE_ARRIVAL,
        unit,
        EndsWhen.DOCUMENT_REPLACED,
        (*_facts(document, clearance_request), ("last_day", held.last_day), ("needed_until", needed_until)),
        source=document.source,
        since=over if expired else None,
    )


def _named(document: DocumentFact) -> Facts:
    return (("document", document.kind), *((("us_state", document.needed_in),) if document.needed_in else ()))


def _facts(document: DocumentFact, clearance_request: ClearanceRequest) -> Facts:
    """The document's name, and first day and both readings of the end of the one held that reaches furthest."""
    newest = max(document.spans, key=lambda span: span.end.last_day(clearance_request.policy.reading) or date.max)
    ends: Facts = ()
    if newest.end.by_day is not None:
        ends += (("ends_by_day", newest.end.by_day),)
    if newest.end.by_month_end is not None:
        ends += (("ends_by_month_end", newest.end.by_month_end),)
    if newest.starts_on is not None:
        ends += (("starts_on", newest.starts_on),)
    return (*_named(document), *ends)
