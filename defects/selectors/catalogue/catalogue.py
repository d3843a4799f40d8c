"""The catalogue in force, carrier tightening included, and older ones by their hash."""

import json
import logging
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from django.db.models import Exists

from common.canonical import canonical_json
from common.errors import FieldProblem, Invalid
from defects.models import CatalogueVersion, Defect
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.catalogue.tightening import LooseningRefusedError, read_carrier_rule, tighten
from fleet.models import Policy

logger = logging.getLogger(__name__)

TIGHTENING = "catalogue_tightening"
"""The policy that holds the carrier's own, stricter rules."""


def catalogue_in_force(policies: Mapping[str, object]) -> Catalogue:
    """The catalogue that comes with the service, as tightened by the carrier's policies in force."""
    return _tightened(canonical_json(policies.get(TIGHTENING) or []).decode())


def is_kept(catalogue: Catalogue) -> Exists:
    """Whether a catalogue was in force before, to be asked within another query."""
    return Exists(CatalogueVersion.objects.filter(pk=catalogue.content_hash))


def stored_catalogue(content_hash: str) -> Catalogue | None:
    """The catalogue of that hash, or None when it was never in force here."""
    version = CatalogueVersion.objects.filter(pk=content_hash).first()
    return None if version is None else _parsed(version.document)


def catalogue_naming(defect: Defect) -> Catalogue:
    """The catalogue that comes with the service, or for a point of the carrier's own the one that judged the defect."""
    known = load_catalogue()
    if not defect.point or known.get(defect.point) is not None or defect.catalogue_id is None:
        return known
    return stored_catalogue(defect.catalogue_id) or known


def check_tightening(value: object) -> None:
    """Refuse carrier rules that cannot be read or would loosen the catalogue: Invalid `carrier_rules_refused`."""
    rows = value if isinstance(value, list) else [value]
    rules, problems = [], []
    for index, row in enumerate(rows):
        rule, faults = read_carrier_rule(row)
        if rule is not None:
            rules.append(rule)
        for field, message in faults:
            problems.append(FieldProblem(f"/value/{index}/{field}", "carrier_rule_malformed", {"reason": message}))
    if problems:
        raise Invalid("carrier_rules_refused", problems=problems)
    tighten(load_catalogue(), rules)


@lru_cache(maxsize=8)
def _tightened(rules: str) -> Catalogue:
    """The catalogue with each rule that applies; one that a newer catalogue made void is left out and logged.

    A report signed in the field must never be lost to a rule of the carrier's, so nothing is raised here.
    """
    catalogue = load_catalogue()
    for row in json.loads(rules):
        rule, faults = read_carrier_rule(row)
        if rule is None:
            logger.error("carrier rule %s cannot be read: %s", row, faults)
            continue
        try:
            catalogue = tighten(catalogue, [rule])
        except LooseningRefusedError as refused:
            logger.error("carrier rule %s no longer applies: %s", row, refused)  # noqa: TRY400  says all there is
    return catalogue


@lru_cache(maxsize=8)
def _parsed(document: str) -> Catalogue:
    return Catalogue.from_document(json.loads(document))


def refuse_bad_tightening(policy: Policy, **_: Any) -> None:
    """A carrier's own rules that cannot be applied are refused when they are decided, not when a report comes in."""
    if policy.key == TIGHTENING:
        check_tightening(policy.value)
