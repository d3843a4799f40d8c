"""Which papers of a unit, the carrier or the driver bar a trip: missing, run out, or running out on the way."""

from datetime import date, timedelta

from defects.rules.clearance.answer import Facts
from defects.rules.clearance.asking import Asking, day_over
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.facts import PaperFact
from defects.rules.clearance.findings import Findings
from defects.rules.clearance.snapshot import DriverFact
from fleet.rules.documents.states import coverage


def judge_papers(papers: tuple[PaperFact, ...], unit: str, asking: Asking, findings: Findings) -> None:
    """Each paper asked for must serve from leaving until arrival and the carrier's margin; in the yard, until now.

    `unit` is empty for papers of the carrier or the driver.
    """
    for paper in papers:
        if _is_asked_for(paper, asking):
            _judge(paper, unit, asking, findings)


def judge_driver(driver: DriverFact, asking: Asking, findings: Findings) -> None:
    """The driver's own papers, and whether the person named is a driver at all."""
    judge_papers(driver.papers, "", asking, findings)
    if not driver.drives:
        findings.not_known(Code.DRIVER_NOT_ON_RECORD, "", EndsWhen.FACT_RECORDED)


def _is_asked_for(paper: PaperFact, asking: Asking) -> bool:
    if not paper.needed_in:
        return True
    return asking.load is not None and paper.needed_in in asking.load.states


def _judge(paper: PaperFact, unit: str, asking: Asking, findings: Findings) -> None:
    held = coverage(paper.spans, asking.leave_day, asking.policy.reading)
    if not paper.bars:
        if held.last_day is not None and asking.as_of >= day_over(held.last_day, asking.zone):
            findings.leave_open(Code.DOCUMENT_EXPIRED, unit, (*_named(paper), ("last_day", held.last_day)))
        return
    if not paper.spans:
        facts = _named(paper)
        if paper.missing_bars:
            findings.bar(Code.DOCUMENT_MISSING, unit, EndsWhen.DOCUMENT_RECORDED, facts, source=paper.source)
        else:
            findings.not_known(Code.DOCUMENT_MISSING, unit, EndsWhen.DOCUMENT_RECORDED, facts)
        return
    if held.last_day is None:
        if not held.covered:
            findings.bar(
                Code.DOCUMENT_NOT_BEGUN, unit, EndsWhen.DOCUMENT_RECORDED, _facts(paper, asking), source=paper.source
            )
        return
    over = day_over(held.last_day, asking.zone)
    margin = asking.policy.document_margin if asking.has_trip else timedelta(0)
    needed_until = asking.arrive + margin
    if needed_until < over:
        leave_by = over - asking.duration - margin
        findings.ends(leave_by, Code.DOCUMENT_ENDS_BEFORE_ARRIVAL, unit, (*_named(paper), ("last_day", held.last_day)))
        return
    expired = asking.as_of >= over
    findings.bar(
        Code.DOCUMENT_EXPIRED if expired else Code.DOCUMENT_ENDS_BEFORE_ARRIVAL,
        unit,
        EndsWhen.DOCUMENT_REPLACED,
        (*_facts(paper, asking), ("last_day", held.last_day), ("needed_until", needed_until)),
        source=paper.source,
        since=over if expired else None,
    )


def _named(paper: PaperFact) -> Facts:
    return (("document", paper.kind), *((("state", paper.needed_in),) if paper.needed_in else ()))


def _facts(paper: PaperFact, asking: Asking) -> Facts:
    """The paper's name, and first day and both readings of the end of the one held that reaches furthest."""
    newest = max(paper.spans, key=lambda span: span.end.last_day(asking.policy.reading) or date.max)
    ends: Facts = ()
    if newest.end.by_day is not None:
        ends += (("ends_by_day", newest.end.by_day),)
    if newest.end.by_month_end is not None:
        ends += (("ends_by_month_end", newest.end.by_month_end),)
    if newest.starts_on is not None:
        ends += (("starts_on", newest.starts_on),)
    return (*_named(paper), *ends)
