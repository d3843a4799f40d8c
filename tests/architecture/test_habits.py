"""What holds for every address of the API: which repeat harmlessly, which ask for a version, and who may delete."""

import re
from pathlib import Path

import pytest

from common.transitions import SYSTEM, TransitionTable
from defects import transitions as defects
from fleet import transitions as fleet
from tests.support.routes import Operation, operations
from workorders import transitions as workorders

OPERATIONS = operations()
BY_NAME = {operation.name: operation for operation in OPERATIONS}
POSTS = [operation for operation in OPERATIONS if operation.method == "POST"]

WITHOUT_KEY = {
    "POST /tokens": "nobody is known yet",
    "POST /driver-reviews": "its body names it",
    "POST /refusals": "its body names it",
    "POST /me/set-password": "the password named is no longer the present one",
    "POST /expiries/feeds": "a kept answer would keep the token",
    "POST /signing-links": "a kept answer would keep the token",
    "POST /signing-link": "a link serves once",
    "POST /signing-link/second-look": "a link serves once",
    "POST /webhooks": "a kept answer would keep the secret; a second open one is refused",
    "POST /webhooks/{key}/close": "a second time is refused",
}
"""Each POST without an Idempotency-Key, and why sending it again does no harm."""

FACTS = {
    "POST /cooling-units/{ref}/readings",
    "POST /couplings/{key}/uncouple",
    "POST /mountings/{key}/dismount",
    "POST /labor-entries/{key}/pause",
    "POST /labor-entries/{key}/stop",
    "POST /limited-moves/{key}/end",
    "POST /loads-at-risk/{key}/entries",
    "POST /loads/{ref}/check-before-loading",
    "POST /loads/{ref}/compare-seal",
    "POST /loads/{ref}/deliver",
    "POST /loads/{ref}/put-into-trailer",
    "POST /loads/{ref}/transload",
    "POST /loads/{ref}/weigh",
    "POST /refusals/{key}/second-look",
    "POST /defects/{ref}/repeated-tests",
    "POST /notices/{key}/acknowledge",
    "POST /notices/{key}/snooze",
}
"""Told by whoever is there and has seen no version."""
NEVER_EDITED = {
    "POST /legal-holds/{key}/lift",
    "POST /notices/parked-deliveries/{key}/retry",
    "POST /on-call/{key}/withdraw",
    "POST /people/{key}/roles",
    "POST /reports/{key}/assign-unit",
    "POST /reports/{key}/set-aside",
    "POST /units/{ref}/tires",
    "POST /people/{key}/roles/{role}/end",
    "POST /qualifications/{key}/end",
    "POST /webhooks/{key}/close",
}
"""Rows that are ended or added to and never edited have no version."""

PLACES = {
    fleet.UNIT: "units/{ref}",
    fleet.THIRD_PARTY_UNIT: "units/{ref}",
    fleet.COUPLING: "couplings/{key}",
    fleet.MOUNTING: "mountings/{key}",
    fleet.DOCUMENT: "documents/{key}",
    fleet.PERSON: "people/{key}",
    fleet.SITE: "sites/{code}",
    fleet.LEGAL_HOLD: "legal-holds/{key}",
    fleet.DELIVERY: "notices/parked-deliveries/{key}",
    defects.DEFECTS: "defects/{ref}",
    defects.HOLDS: "holds/{ref}",
    defects.REFUSALS: "refusals/{key}",
    defects.LIMITED_MOVES: "limited-moves/{key}",
    defects.LOADS: "loads/{ref}",
    defects.LOADS_AT_RISK: "loads-at-risk/{key}",
    defects.ROADSIDE_INSPECTIONS: "roadside-inspections/{key}",
    workorders.ORDER_TABLE: "repair-orders/{ref}",
    workorders.TASK_TABLE: "repair-tasks/{key}",
}
UNITS = ["tractors/{ref}", "trailers/{ref}", "cooling-units/{ref}"]
EDITED_AT = {fleet.UNIT: UNITS, fleet.THIRD_PARTY_UNIT: UNITS}
CALLED_OTHERWISE = {
    "certify_repaired": "certify",
    "certify_unnecessary": "certify",
    "enter_in_error": "entered-in-error",
    "grant_role": "roles",
    "add_reading": "entries",
    "add_call": "entries",
    "add_decision": "entries",
}
"""Several moves behind one address, or a better name for a reader of addresses."""
MOVES = [
    (table, action)
    for table in (*fleet.TABLES, *defects.TABLES, *workorders.TABLES)
    for action in table.actions
    if any(row.roles - {SYSTEM} for row in table.transitions if row.action == action)
]


def test_posts_without_a_key__are_those_that_do_no_harm_twice() -> None:
    assert {operation.name for operation in POSTS if getattr(operation.view, "idempotency", "") == "none"} == set(
        WITHOUT_KEY
    )


def test_nothing_is_deleted__but_tokens() -> None:
    deleting = {operation.name for operation in OPERATIONS if operation.method == "DELETE"}
    assert deleting == {"DELETE /tokens/{key}", "DELETE /expiries/feeds/{key}", "DELETE /signing-links/{key}"}


def test_edits_and_moves__ask_for_the_version_seen_but_facts_do_not() -> None:
    changing = [operation for operation in POSTS if "{" in operation.name]
    changing += [operation for operation in OPERATIONS if operation.method == "PATCH"]
    assert {operation.name for operation in changing if not _asks_for_version(operation)} == FACTS | NEVER_EDITED


@pytest.mark.parametrize(("table", "action"), MOVES, ids=lambda value: getattr(value, "name", value))
def test_move_that_a_person_may_make__has_an_address(table: TransitionTable, action: str) -> None:
    assert _addresses(table, action) - set(BY_NAME) == set()


def test_search_for_addresses__misses_one_that_is_not_there() -> None:
    assert len(MOVES) > 40
    assert _addresses(workorders.ORDER_TABLE, "put_back").isdisjoint(BY_NAME)


def test_addresses__are_in_kebab_case() -> None:
    part = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*|\{\w+\}|(\{\w+\}|[a-z-]+)\.(csv|ics|xlsx|zip)")
    assert [
        operation.name
        for operation in OPERATIONS
        for word in operation.name.partition(" /")[2].split("/")
        if not part.fullmatch(word)
    ] == []


def _asks_for_version(operation: Operation) -> bool:
    wanted: frozenset[str] = getattr(operation.view, "if_match", frozenset())
    return operation.action in wanted


def _addresses(table: TransitionTable, action: str) -> set[str]:
    if action == "edit":
        return {f"PATCH /{place}" for place in EDITED_AT.get(table, [PLACES[table]])}
    return {f"POST /{PLACES[table]}/{CALLED_OTHERWISE.get(action, action.replace('_', '-'))}"}


def test_title_of_a_check__is_sent_where_checks_are_listed_and_nowhere_else() -> None:
    """A title says what ought to be so ("Parking brake holds"): as the name of a fault it says the opposite."""
    reads = re.compile(r"\.title\b(?!\()")
    found = {
        str(path)
        for app in ("defects", "workorders")
        for path in Path(app).rglob("*.py")
        if "management" not in path.parts and reads.search(path.read_text())
    }
    of_a_person = {"defects/api/signing_links/bodies.py"}
    assert found - of_a_person == {"defects/api/catalogue/answers.py", "defects/api/walkarounds/walk_points.py"}
