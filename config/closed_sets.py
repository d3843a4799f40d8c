"""Each closed set once in the OpenAPI document, under one name: a hook of drf-spectacular."""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import Any

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

import defects.enums
import fleet.enums
import workorders.enums
from defects.api.defects.answers import FLAGS, SHOWN_HOW
from defects.rules.catalogue.closed_sets import CATALOGUE_LEGS, Subsystem, System
from defects.rules.catalogue.observed import CATALOGUE_WALKS
from defects.rules.clearance.codes import Code, EndsWhen, ReasonKind
from defects.rules.tires import WearUnknown
from defects.rules.walkarounds.lap import LAP
from defects.rules.weights import TicketFlag
from defects.services.records.signatures import BY_HAND
from fleet.api.documents.expiries import ExpiryViewSet
from fleet.api.notifications.notifications import ACTIONS
from fleet.models.units import CHAMBER_TYPES
from fleet.rules.documents.kinds import SUBJECTS
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.qualified import qualification_kinds
from fleet.rules.documents.states import DocumentState
from fleet.rules.records.retention import RECORD_KINDS
from fleet.rules.units.trends import MeterFlag
from fleet.selectors.documents.status import REPLACED
from fleet.services.imports.run import Table

MODULES = (defects.enums, fleet.enums, workorders.enums)
"""Of two sets with the same values the first gives the name: no answer tells a site's state."""
REF = "#/components/schemas/"


def closed_sets() -> dict[str, list[str]]:
    """Return the values of each closed set by its name; ImproperlyConfigured for a name that two of them have."""
    named: dict[str, list[str]] = {}
    sets: Iterable[tuple[str, Iterable[str]]] = (*_enums(), *_others().items())
    for name, words in sets:
        values = [str(word) for word in words]
        if set(values) in map(set, named.values()):
            continue
        if name in named:
            msg = f"two closed sets are called {name}"
            raise ImproperlyConfigured(msg)
        named[name] = values
    return named


def _enums() -> Iterable[tuple[str, type[StrEnum]]]:
    for module in MODULES:
        for found in vars(module).values():
            if isinstance(found, type) and issubclass(found, StrEnum) and found.__module__ == module.__name__:
                yield found.__name__, found


def _others() -> Mapping[str, Iterable[str]]:
    """What rules and catalogues know, and parts of sets."""
    return {
        "CatalogueLeg": CATALOGUE_LEGS,
        "CatalogueWalk": CATALOGUE_WALKS,
        "CertificateFlag": FLAGS,
        "ChamberType": CHAMBER_TYPES,
        "DocumentStatus": [*DocumentState, REPLACED],
        "EndsWhen": EndsWhen,
        "ErrorShownBy": SHOWN_HOW,
        "ExpiryForm": [str(form.format) for form in ExpiryViewSet.renderer_classes],
        "ExpiryKind": [*load_document_kinds(), *qualification_kinds()],
        "ExpiryStatus": DocumentState,
        "HandSignatureMethod": BY_HAND,
        "ImportTable": Table,
        "Language": [code for code, _ in settings.LANGUAGES],
        "MeterFlag": MeterFlag,
        "NotificationAction": ACTIONS,
        "OrderedMode": fleet.enums.COOLING_MODES,
        "ReasonCode": Code,
        "ReasonKind": ReasonKind,
        "RecordKind": RECORD_KINDS,
        "SentSource": fleet.enums.SENT_SOURCES,
        "Subject": sorted(SUBJECTS),
        "Subsystem": Subsystem,
        "System": System,
        "WalkLeg": LAP,
        "WearUnknown": WearUnknown,
        "TicketFlag": TicketFlag,
    }


def name_closed_sets(result: dict[str, Any], **_: object) -> dict[str, Any]:
    """Put a reference in the place of every list of values that is a closed set of ours, the empty text aside."""
    sets, schemas = closed_sets(), result["components"]["schemas"]
    known = {frozenset(values): name for name, values in sets.items()}
    for name, schema in schemas.items():
        if name not in sets:
            schemas[name] = _referring(schema, known)
        elif schema.get("enum") != sets[name]:
            msg = f"a model and a closed set are called {name}"
            raise ImproperlyConfigured(msg)
    result["paths"] = _referring(result["paths"], known)
    for name in sorted(_referred(result) & sets.keys()):
        schemas.setdefault(name, {"type": "string", "enum": sets[name]})
    return result


def _referring(node: Any, known: Mapping[frozenset[str], str]) -> Any:
    if isinstance(node, list):
        return [_referring(item, known) for item in node]
    if not isinstance(node, dict):
        return node
    values = node.get("enum")
    if isinstance(values, list) and node.get("type", "string") == "string":
        said = {key: value for key, value in node.items() if key not in {"type", "enum", "x-spec-enum-id"}}
        found = known.get(frozenset(values) - {""})
        if found is not None:
            ref = {"$ref": REF + found}
            return {**({"anyOf": [ref, {"const": ""}]} if "" in values else ref), **said}
    return {key: _referring(value, known) for key, value in node.items()}


def _referred(node: Any) -> set[str]:
    if isinstance(node, list):
        return set().union(*(_referred(item) for item in node))
    if not isinstance(node, dict):
        return set()
    own = {str(node["$ref"]).removeprefix(REF)} if isinstance(node.get("$ref"), str) else set()
    return own.union(*(_referred(value) for value in node.values()))
