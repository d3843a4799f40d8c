"""The sentences of every code that defects raises or keeps, each in the room of its noun. Holds no logic."""

from common.messages import Sentences
from defects.messages import (
    catalogue,
    certificates,
    defects,
    holds,
    loads,
    moves,
    records,
    refusals,
    reviews,
    roadside,
    signing_links,
    tires,
    weights,
)
from defects.messages.clearance import reasons, requests
from defects.messages.walkarounds import flags, receipts, reports

SENTENCES = Sentences(
    (
        catalogue.MESSAGES,
        certificates.MESSAGES,
        defects.MESSAGES,
        flags.MESSAGES,
        holds.MESSAGES,
        loads.MESSAGES,
        moves.MESSAGES,
        reasons.MESSAGES,
        receipts.MESSAGES,
        records.MESSAGES,
        refusals.MESSAGES,
        reports.MESSAGES,
        requests.MESSAGES,
        reviews.MESSAGES,
        roadside.MESSAGES,
        signing_links.MESSAGES,
        tires.MESSAGES,
        weights.MESSAGES,
    ),
    words={
        "state": {
            **defects.DEFECT_STATES,
            **holds.STATES,
            **refusals.STATES,
            **moves.STATES,
            **loads.STATES,
            **roadside.STATES,
        },
        "severity": defects.SEVERITIES,
        "regulation": defects.SEVERITIES,
        "bars": defects.BARS,
        "evidence": certificates.EVIDENCE,
        "kind": certificates.CERTIFICATE_KINDS,
        "passed": certificates.OUTCOMES,
        "leg": reports.LEGS,
        "missing": reports.MISSING,
        **flags.WORDS,
        "risk_cause": loads.RISK_CAUSES,
    },
    constraints={**holds.CONSTRAINTS, **loads.CONSTRAINTS, **roadside.CONSTRAINTS},
)
