"""Papers of units, people and the carrier: how long each runs, what it is on a day, what it reminds of. Pure rules."""

from fleet.rules.documents.as_stored import kind_on_record
from fleet.rules.documents.expected import Expected, Grace, expected_papers, graces, undecided_papers
from fleet.rules.documents.filings import biennial_month, next_biennial_update, use_tax_due, use_tax_year_end
from fleet.rules.documents.kinds import CONDITIONS, SUBJECTS, DocumentKind, PaperNeed, Source, papers_needed
from fleet.rules.documents.loading import (
    MalformedDocumentKinds,
    Problem,
    document_kind_problems,
    load_document_kinds,
    parse_document_kinds,
)
from fleet.rules.documents.periods import PeriodEnd, PeriodFacts, PeriodRefused, PeriodRule, Reading, stored_end
from fleet.rules.documents.qualified import qualification_kinds
from fleet.rules.documents.states import (
    DEFAULT_LEAD_DAYS,
    OVERDUE_EVERY_DAYS,
    Coverage,
    DocumentState,
    Span,
    Step,
    coverage,
    state_on,
    step_now,
)

__all__ = [
    "CONDITIONS",
    "DEFAULT_LEAD_DAYS",
    "OVERDUE_EVERY_DAYS",
    "SUBJECTS",
    "Coverage",
    "DocumentKind",
    "DocumentState",
    "Expected",
    "Grace",
    "MalformedDocumentKinds",
    "PaperNeed",
    "PeriodEnd",
    "PeriodFacts",
    "PeriodRefused",
    "PeriodRule",
    "Problem",
    "Reading",
    "Source",
    "Span",
    "Step",
    "biennial_month",
    "coverage",
    "document_kind_problems",
    "expected_papers",
    "graces",
    "kind_on_record",
    "load_document_kinds",
    "next_biennial_update",
    "papers_needed",
    "parse_document_kinds",
    "qualification_kinds",
    "state_on",
    "step_now",
    "stored_end",
    "undecided_papers",
    "use_tax_due",
    "use_tax_year_end",
]
