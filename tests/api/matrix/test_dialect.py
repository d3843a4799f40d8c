"""One dialect of lists and bodies, as `docs/api.md` says: held over every list and body of the description."""

from collections.abc import Iterator
from typing import Any

import pytest

from common.api.filter_kinds import InstantFilter, ReadFilter
from common.api.values import UuidValue
from fleet.enums import Role, UnitKind
from fleet.models import Carrier
from tests.factories.fleet import make_person, make_unit
from tests.support.acting import acting_as, codes
from tests.support.described import document
from tests.support.routes import NO_KEY, operations

DOCUMENT = document()
SCHEMAS: dict[str, Any] = DOCUMENT["components"]["schemas"]
WITHOUT_TIME = {
    **dict.fromkeys(("units", "tractors", "trailers", "cooling-units", "people", "sites"), "a register"),
    **dict.fromkeys(("yard", "expiries"), "what stands now"),
    "notices/parked-deliveries": "in the order in which they are tried again",
}
"""Lists of nothing that happened at an instant, and what they are instead."""
ORDERED_OTHERWISE = {
    "GET /units/{ref}/history": ("-sequence",),  # as recorded; cut by when it happened, which an auditor asks for
    **dict.fromkeys(("GET /documents", "GET /mountings", "GET /qualifications"), ()),  # by key, as recorded
}
ENDS = {"ended_at", "lifted_at", "closed_at", "closed_on", "retired_on", "left_on", "withdrawn_at", "acknowledged_at"}
"""Members of a row that say that it has ended."""
FLAGS = {
    "carrier",
    "comeback",
    "flagged",
    "graded",
    "has_address",
    "open",
    "ours",
    "taken_over",
    "unit_known",
    "urgent",
}
INSTANTS = {"since", "until", "at", "expected_by"}
UNKNOWN = {
    "unit_unknown": {"unit", "trailer", "cooling_unit"},
    "person_unknown": {"person", "finder", "lead", "assigned_to", "responsible"},
    "site_unknown": {"site", "home_site"},
    "order_unknown": {"order"},
    "task_unknown": {"task"},
    "defect_unknown": {"defect"},
    "load_unknown": {"load"},
}
"""What a list says of a reference that names nothing, by the names of the parameters."""
NUMBERED = {"defect", "order"}
BY_NUMBER_ALONE = {"LinkedCertificateBody.defect"}
"""Somebody of another firm knows no more than the link shows."""
NO_PEOPLE = {
    "DocumentAnswer.evidence_held_by",
    "DocumentAnswer.file_by",
    "DocumentAnswer.superseded_by",
    "ExpiryAnswer.file_by",
    "PlaceAnswer.answered_by",
    "PointHereAnswer.answered_by",
    "WalkedUnitAnswer.barred_by",
}
"""Whoever keeps it elsewhere, the next document, and the way in which a place is answered."""
PEOPLE = {"assigned_to", "driver", "helpers", "lead", "person", "responsible", "worked_by"}


def parameters(operation: dict[str, Any]) -> list[dict[str, Any]]:
    """The parameters of an operation, those that many share among them."""
    shared: dict[str, dict[str, Any]] = DOCUMENT["components"].get("parameters", {})
    return [shared.get(each.get("$ref", "").rpartition("/")[2], each) for each in operation.get("parameters", ())]


def lists() -> Iterator[tuple[str, dict[str, dict[str, Any]], dict[str, Any]]]:
    """The path of each list, the schemas of its parameters, and that of a row."""
    for path, methods in DOCUMENT["paths"].items():
        reading = methods.get("get", {})
        page = reading.get("responses", {}).get("200", {}).get("content", {}).get("application/json", {}).get("schema")
        name = (page or {}).get("$ref", "").rpartition("/")[2]
        if name.startswith("Paginated"):
            known = {each["name"]: each["schema"] for each in parameters(reading) if each["in"] == "query"}
            row = SCHEMAS[name]["properties"]["results"]["items"]["$ref"].rpartition("/")[2]
            yield path.removeprefix("/api/v1/"), known, SCHEMAS[row]


LISTS = {path: (known, row) for path, known, row in lists()}
ROUTES = [
    (operation, name, code)
    for operation in operations()
    if operation.action == "list" and "404" not in operation.path
    for code, names in UNKNOWN.items()
    for name in sorted(names & set(getattr(getattr(operation.view, "filterset_class", None), "base_filters", ())))
]


def test_lists__found() -> None:
    assert len(LISTS) > 30
    assert {"defects", "units/{ref}/history", "yard"} <= set(LISTS)


@pytest.mark.parametrize("path", sorted(LISTS))
def test_list__is_cut_into_pages_and_by_time_in_one_way(path: str) -> None:
    known, _row = LISTS[path]
    assert {"cursor", "limit"} <= set(known)
    assert ({"since", "until"} <= set(known)) is (path not in WITHOUT_TIME)
    assert {name for name, schema in known.items() if schema.get("format") == "date-time"} <= INSTANTS
    assert {name for name, schema in known.items() if schema.get("format") == "date"} <= {"on", "due_by", "ends_by"}


def test_lists__are_ordered_by_the_instant_that_they_are_cut_by() -> None:
    views = {operation.name: operation.view for operation in operations() if operation.action == "list"}
    cuts = {name: getattr(getattr(view, "filterset_class", None), "base_filters", {}) for name, view in views.items()}
    otherwise = {
        name: getattr(view, "ordering", ())
        for name, view in views.items()
        if "since" in cuts[name] and getattr(view, "ordering", ()) != (f"-{cuts[name]['since'].field_name}",)
    }
    assert otherwise == ORDERED_OTHERWISE


@pytest.mark.parametrize("path", sorted(LISTS))
def test_list_of_what_ends__is_asked_for_what_is_open_in_one_way(path: str) -> None:
    known, row = LISTS[path]
    assert {name for name, schema in known.items() if schema.get("type") == "boolean"} <= FLAGS
    if ENDS & set(row["properties"]):
        assert "open" in known


def test_reference_that_names_nothing__refused_and_the_parameter_named(carrier: Carrier) -> None:
    reader = acting_as(make_person("Everything", *Role))
    tractor = make_unit(UnitKind.TRACTOR, "NL-15")
    known = {"trailer": make_unit(UnitKind.TRAILER, "LR-46"), "cooling_unit": make_unit(UnitKind.COOLING_UNIT, "CU-46")}
    assert len(ROUTES) > 50
    for operation, name, code in ROUTES:
        refused = reader.get(operation.path, **{name: NO_KEY})
        assert (refused.status_code, codes(refused)) == (400, [(name, code)]), (operation.name, name)
        unit = known.get(name, tractor)
        for ref in (str(unit).lower(), str(unit.pk)) if code == "unit_unknown" else ():
            assert reader.get(operation.path, **{name: ref}).status_code == 200, (operation.name, name)


def test_filters__read_instants_and_keys_as_bodies_do() -> None:
    for operation in operations():
        filters = getattr(getattr(operation.view, "filterset_class", None), "base_filters", {})
        for name, found in filters.items():
            if name in INSTANTS:
                assert isinstance(found, InstantFilter), (operation.name, name)
            if any(name in names for names in UNKNOWN.values()) and name != "unit":
                assert isinstance(found, ReadFilter), (operation.name, name)


def test_bodies__refer_to_people_and_numbered_rows_in_one_way() -> None:
    wrong = [
        (name, member, schema)
        for name, model in SCHEMAS.items()
        if name.endswith(("Body", "Filters"))
        for member, schema in model.get("properties", {}).items()
        if f"{name}.{member}" not in BY_NUMBER_ALONE
        and _reference(member) in NUMBERED | PEOPLE
        and not _right(_reference(member), schema)
    ]
    assert wrong == []


def test_answers__show_people_as_objects_and_orders_holds_and_defects_by_number() -> None:
    wrong = [
        (name, member)
        for name, model in SCHEMAS.items()
        if name.endswith(("Answer", "Clearance")) and not name.startswith("Opened")
        for member, schema in model.get("properties", {}).items()
        if (member in PEOPLE | NUMBERED | {"hold", "signer"} or member.endswith("_by"))
        and f"{name}.{member}" not in NO_PEOPLE
        and not _shown(schema, {"PersonShort", "PersonAnswer", "DefectShort"}, {"integer"})
    ]
    assert wrong == []


def test_what_is_edited__says_its_version() -> None:
    wrong = []
    for path, methods in DOCUMENT["paths"].items():
        for operation in methods.values():
            if "If-Match" in {each["name"] for each in parameters(operation)}:
                shown = [
                    answer["content"]["application/json"]["schema"]["$ref"].rpartition("/")[2]
                    for status, answer in operation["responses"].items()
                    if status.startswith("2") and "content" in answer
                ]
                wrong += [(path, name) for name in shown if "version" not in SCHEMAS[name]["properties"]]
    assert wrong == []


def _shown(schema: dict[str, Any], objects: set[str], types: set[str]) -> bool:
    """Whether a member, or each item of it, is one of these objects or of these types, or null."""
    each = schema.get("items", schema)
    kinds = each.get("anyOf") or each.get("allOf") or [{"type": kind} for kind in _several(each)] or [each]
    names = {kind.get("$ref", "").rpartition("/")[2] or kind.get("type") for kind in kinds}
    return names <= objects | types | {"null"}


def _several(schema: dict[str, Any]) -> list[str]:
    given = schema.get("type", [])
    return given if isinstance(given, list) else []


def _reference(member: str) -> str:
    return "defect" if member == "defects" else member


def _right(member: str, schema: dict[str, Any]) -> bool:
    each = schema.get("items", schema)
    kinds = [kind for kind in each.get("anyOf", [each]) if kind.get("type") != "null"]
    if member in PEOPLE:
        return all(kind.get("format") == UuidValue.said["format"] for kind in kinds)
    return [kind.get("type") for kind in kinds] == ["integer", "string"]
