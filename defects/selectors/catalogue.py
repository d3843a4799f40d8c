"""The catalogue in force, carrier tightening included, and older ones by their hash."""

import json
from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache

from common.canonical import canonical_json
from defects.models import CatalogueVersion
from defects.rules.catalogue import Catalogue, load_catalogue
from defects.rules.tightening import tighten

TIGHTENING = "catalogue_tightening"
"""The policy that holds the carrier's own, stricter rules."""


def catalogue_in_force(policies: Mapping[str, object]) -> Catalogue:
    """The catalogue that comes with the service, as tightened by the carrier's policies in force."""
    return _tightened(canonical_json(policies.get(TIGHTENING) or []).decode())


def keep_catalogue(catalogue: Catalogue, *, now: datetime) -> None:
    """Store a catalogue that was never in force before; one statement when it is known."""
    if CatalogueVersion.objects.filter(pk=catalogue.content_hash).exists():
        return
    version = CatalogueVersion(
        content_hash=catalogue.content_hash,
        document=canonical_json(catalogue.to_document()).decode(),
        first_used_at=now,
    )
    CatalogueVersion.objects.bulk_create([version], ignore_conflicts=True)


def stored_catalogue(content_hash: str) -> Catalogue | None:
    """The catalogue of that hash, or None when it was never in force here."""
    version = CatalogueVersion.objects.filter(pk=content_hash).first()
    return None if version is None else _parsed(version.document)


@lru_cache(maxsize=8)
def _tightened(rules: str) -> Catalogue:
    return tighten(load_catalogue(), json.loads(rules))


@lru_cache(maxsize=8)
def _parsed(document: str) -> Catalogue:
    return Catalogue.from_document(json.loads(document))
