"""How the documents, the legal holds, the readings and the facts of a unit follow from its history."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from fleet.rules.records.recount import Expected, Facts, Recount, Said
from fleet.rules.units.description import DETAILS, FACTS

DOCUMENT_AT_FIRST: Facts = {
    "number": "",
    "issuer": "",
    "us_state": "",
    "issued_on": None,
    "starts_on": None,
    "ends_on": None,
    "ends_on_month": None,
    "program": "",
    "inspector": "",
    "evidence_held_by": "",
}
"""What a document says where nothing was given."""
DOCUMENT_COLUMNS = ("kind", *DOCUMENT_AT_FIRST)
_NAMED_BEFORE = {"state": "us_state"}
"""Columns of a document that history once called by another name."""
READING_COLUMNS = ("meter", "shown", "total")
UNIT_AT_FIRST: Facts = {
    **dict.fromkeys(FACTS, ""),
    "model_year": None,
    "home_site_id": None,
    "in_control_since": None,
    "retired_on": None,
}

DETAIL_NAMES = frozenset().union(*DETAILS.values())


def fold_document(expected: Expected, said: Said) -> None:
    """A document is recorded or replaces another, is mended column by column, and gets a scan."""
    document, body = expected.of(said.subject), said.body
    if body is None:
        _forget(expected, document, replacing=said.kind == "document_replaced")
    elif said.kind == "document_edited":
        changed = _named_now(body["changed"])
        document.update({name: after for name, (_, after) in changed.items() if name in DOCUMENT_COLUMNS})
    elif said.kind == "document_scanned":
        document["file"] = body["sha256"]
    else:
        document.update(DOCUMENT_AT_FIRST, file=None, current=True)
        given = _named_now(body)
        document.update({name: given[name] for name in DOCUMENT_COLUMNS if name in given})
        if "replaces" in body:
            expected.of(UUID(body["replaces"]))["current"] = False


def _named_now(body: Mapping[str, Any]) -> dict[str, Any]:
    """What an older entry calls by the name of before, by its name of now."""
    return {_NAMED_BEFORE.get(name, name): value for name, value in body.items()}


def _forget(expected: Expected, document: Facts, *, replacing: bool) -> None:
    """What the entry said is purged: of the document nothing is known from it, nor which document it replaced."""
    document.clear()
    for other in expected.facts.values() if replacing else ():
        other.pop("current", None)


def fold_legal_hold(expected: Expected, said: Said) -> None:
    """A legal hold stands until it is lifted."""
    hold = expected.of(said.subject)
    hold["active"] = said.kind == "legal_hold_placed"
    if said.body is not None:
        hold["cause"] = said.body["cause"]


def fold_unit(expected: Expected, said: Said) -> None:
    """A unit is added with its facts and details, edited fact by fact, and retired."""
    unit, body = expected.of(said.subject), said.body
    if body is None:
        unit.clear()
    elif said.kind == "unit_edited":
        unit.update({name: pair[1] for name, pair in body.items() if name in FACTS | DETAIL_NAMES})
    elif said.kind == "unit_retired":
        unit["retired_on"] = body["retired_on"]
    else:
        unit.update(UNIT_AT_FIRST)
        unit.update({name: value for name, value in body.items() if name == "kind" or name in FACTS})
        unit.update(body.get("details", {}))


def fold_reading(expected: Expected, said: Said) -> None:
    """A reading taken at the desk or in the shop, which never changes; what a driver read stands on the report."""
    if said.body is None:
        expected.facts.pop(said.subject, None)
    else:
        expected.of(said.subject).update({name: said.body[name] for name in READING_COLUMNS})


def fold_axles(expected: Expected, said: Said) -> None:
    """All axles of a unit are given at once, each with the columns that somebody knew."""
    body = said.body or {}
    if said.body is None:
        expected.facts.pop(said.subject, None)
        expected.unnamed = 1
    elif "axles" in body:
        given = body["axles"][1] if said.kind == "unit_edited" else body["axles"]
        expected.facts.pop(said.subject, None)
        if given:
            expected.of(said.subject).update(axle_facts(given))


def axle_facts(axles: Sequence[Mapping[str, object]]) -> Facts:
    """The facts of all axles of a unit, by the number of each and the column."""
    facts: Facts = {"count": len(axles)}
    for axle in axles:
        facts.update({f"{axle['number']} {name}": value for name, value in axle.items()})
    return facts


DOCUMENTS = Recount(
    "document",
    frozenset({"document_recorded", "document_replaced", "document_edited", "document_scanned"}),
    fold_document,
)
LEGAL_HOLDS = Recount("legal hold", frozenset({"legal_hold_placed", "legal_hold_lifted"}), fold_legal_hold)
UNITS = Recount(
    "unit",
    frozenset({"unit_added", "unit_of_others_added", "unit_edited", "unit_retired"}),
    fold_unit,
    complete=False,  # a unit without an entry has nothing to its name
)
READINGS = Recount("meter reading", frozenset({"meter_read", "meter_replaced"}), fold_reading, complete=False)
AXLES = Recount("axles of unit", frozenset({"unit_added", "unit_edited"}), fold_axles, complete=False)
