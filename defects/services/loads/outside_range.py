"""Loads put at risk by a temperature: a product loaded too warm or too cold, air outside its range for too long."""

from collections.abc import Mapping
from datetime import datetime

from common import messages
from common.measures import number
from common.messages import Message
from defects.enums import RiskCause, RiskState
from defects.models import Load, LoadAtRisk
from defects.rules.catalogue.closed_sets import Language
from defects.rules.loads import ProductOutside, product_of
from defects.services.loads.at_risk import NewlyAtRisk, new_record, notify_of_loads_at_risk
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork


def put_at_risk_by_product(load: Load, before: ProductOutside | None, work: UnitOfWork) -> None:
    """Put a load at risk whose product is newly outside its range, told at its trailer, which `work` has locked.

    `before` is what was known of it until now. A temperature that is corrected, or a range, takes back no record.
    """
    found = product_of(load)
    if load.loaded_at is None or (found is None) == (before is None):
        return
    if found is not None:
        cause = RiskCause.PRODUCT_TOO_WARM if found.too_warm else RiskCause.PRODUCT_TOO_COLD
        facts = {"product_f": number(found.product_f), "limit_f": number(found.limit_f)}
        put_at_risk(load, cause, facts, since=load.loaded_at, by=work.actor, work=work)
        return
    risk = LoadAtRisk.objects.filter(load=load, state=RiskState.OPEN).first()
    if risk is not None and risk.cause in {RiskCause.PRODUCT_TOO_WARM, RiskCause.PRODUCT_TOO_COLD}:
        _store_cause(risk, RiskCause.PRODUCT_CORRECTED, {}, work)


def put_at_risk(
    load: Load, cause: RiskCause, facts: Mapping[str, object], *, since: datetime, by: Person, work: UnitOfWork
) -> None:
    """Open a load at risk for a temperature, or give its open record that cause; dispatch and foremen are notified.

    `facts` are those of the sentence of the cause. No decision from before counts. The trailer is locked.
    """
    trailer = load.trailer_id
    if trailer is None:
        raise TypeError("the database keeps a loaded load in a trailer")
    risk = LoadAtRisk.objects.filter(load=load, state=RiskState.OPEN).first()
    if risk is None:
        why = {"cause": cause, "facts": dict(facts), "cause_at": work.now}
        risk = new_record(load, trailer, since=since, by=by, **why)
        risk.save(force_insert=True)
    else:
        _store_cause(risk, cause, facts, work)
    body = {"load": load.number, "risk_cause": cause, **facts}
    work.record(trailer, "load_out_of_range", subject=risk.pk, performed_at=since, body=body)
    what = {str(language): messages.render(Message(f"at_risk_{cause}", facts), language) for language in Language}
    new = NewlyAtRisk(risk, load, what=what, reported_by=by.name, at=since, step=f"{cause} {work.now.isoformat()}")
    notify_of_loads_at_risk([new], now=work.now)


def _store_cause(risk: LoadAtRisk, cause: RiskCause, facts: Mapping[str, object], work: UnitOfWork) -> None:
    risk.cause, risk.facts, risk.cause_at = cause, dict(facts), work.now
    work.save(risk, "cause", "facts", "cause_at")
