"""The table answers every pair of state and action, and refuses to exist when it could never be right."""

import pytest

from common.errors import Conflict, FieldProblem, Invalid, NotAllowed
from common.transitions import SYSTEM, Transition, TransitionTable, staying
from tests.support.refusals import refused

FOREMAN = frozenset({"foreman"})
SHOP = frozenset({"foreman", "mechanic"})

START = Transition("start", frozenset({"open"}), "in_progress", SHOP)
FINISH = Transition("finish", frozenset({"in_progress"}), "done", SHOP, ("correction", "minutes"))
CANCEL = Transition("cancel", frozenset({"open", "in_progress"}), "cancelled", FOREMAN, ("reason",))
TABLE = TransitionTable("order", [START, FINISH, CANCEL], initial="open")

ALLOWED = {
    ("open", "foreman"): ["start", "cancel"],
    ("open", "mechanic"): ["start"],
    ("in_progress", "foreman"): ["finish", "cancel"],
    ("in_progress", "mechanic"): ["finish"],
}


def row(action: str, source: str, target: str) -> Transition:
    return Transition(action, frozenset({source}), target, FOREMAN)


@pytest.mark.parametrize("state", ["open", "in_progress", "done", "cancelled"])
@pytest.mark.parametrize("role", ["foreman", "mechanic", "driver"])
@pytest.mark.parametrize("action", ["start", "finish", "cancel"])
def test_every_state_role_and_action__only_what_is_allowed_resolves(state: str, role: str, action: str) -> None:
    given = {"correction": "x", "minutes": 5, "reason": "x"}
    allowed = ALLOWED.get((state, role), [])
    assert TABLE.allowed_actions(state, {role}) == allowed
    if action in allowed:
        resolved = TABLE.resolve(action, state, {role}, given)
        assert resolved == {"start": START, "finish": FINISH, "cancel": CANCEL}[action]
    else:
        with pytest.raises((Conflict, NotAllowed)):
            TABLE.resolve(action, state, {role}, given)


def test_wrong_state__conflict_says_what_is_possible() -> None:
    with pytest.raises(Conflict) as caught:
        TABLE.resolve("finish", "open", {"foreman"})
    assert caught.value.code == "action_not_allowed"
    assert caught.value.facts == {"action": "finish", "state": "open", "allowed_actions": ["start", "cancel"]}


def test_wrong_role__not_allowed_whatever_the_state() -> None:
    for state in ("open", "done"):
        with pytest.raises(NotAllowed) as caught:
            TABLE.resolve("cancel", state, {"mechanic"})
        assert (caught.value.code, caught.value.facts) == (
            "role_not_allowed",
            {"action": "cancel", "roles": ["foreman"]},
        )


def test_role_allowed_from_another_state_only__not_allowed() -> None:
    reopened = Transition("reopen", frozenset({"a"}), "b", frozenset({"foreman"}))
    back = Transition("reopen", frozenset({"b"}), "a", frozenset({"mechanic"}))
    with pytest.raises(NotAllowed):
        TransitionTable("two", [reopened, back]).resolve("reopen", "a", {"mechanic"})


def test_fields_missing_or_empty__invalid_with_a_pointer_each() -> None:
    with pytest.raises(Invalid) as caught:
        TABLE.resolve("finish", "in_progress", {"mechanic"}, {"correction": "", "minutes": None, "other": 1})
    assert caught.value.code == "required_fields_missing"
    assert caught.value.problems == (FieldProblem("/correction", "required"), FieldProblem("/minutes", "required"))


def test_zero_and_false__count_as_given() -> None:
    assert TABLE.resolve("finish", "in_progress", {"mechanic"}, {"correction": False, "minutes": 0}) == FINISH


def test_names_of_fields_alone__count_as_given() -> None:
    assert TABLE.resolve("cancel", "open", {"foreman"}, {"reason"}) == CANCEL


def test_unknown_action__a_mistake_in_the_code() -> None:
    with pytest.raises(KeyError):
        TABLE.resolve("fly", "open", {"foreman"})


def test_state_of_a_newer_release__nothing_leads_on_from_it() -> None:
    assert TABLE.allowed_actions("flying", {"foreman"}) == []
    with refused(Conflict, "action_not_allowed"):
        TABLE.resolve("start", "flying", {"foreman"})


def test_states__in_order_of_first_mention() -> None:
    assert TABLE.states == ("open", "in_progress", "done", "cancelled")
    assert TABLE.actions == ("start", "finish", "cancel")


@pytest.mark.parametrize(
    ("rows", "states", "initial", "fault"),
    [
        ([], (), None, "no transitions"),
        ([START, row("start", "open", "done")], (), None, "start from open is there twice"),
        ([Transition("go", frozenset(), "b", FOREMAN)], (), None, "go has no source or no role"),
        ([Transition("go", frozenset({"a"}), "b", frozenset())], (), None, "go has no source or no role"),
        ([Transition("go", frozenset({"a"}), "b", FOREMAN, ("x", "x"))], (), None, "go requires a field twice"),
        ([row("go", "a", "b")], ("a",), None, "unknown state b"),
        ([row("go", "a", "b")], ("a", "b", "c"), None, "state c in no transition"),
        ([row("go", "a", "b"), row("on", "c", "b")], (), "a", "state c cannot be reached"),
    ],
)
def test_table_that_could_never_be_right__refused(
    rows: list[Transition], states: tuple[str, ...], initial: str | None, fault: str
) -> None:
    with pytest.raises(ValueError, match=fault):
        TransitionTable("wrong", rows, states=states, initial=initial)


def test_diagram__an_arrow_for_each_source() -> None:
    assert TABLE.mermaid() == (
        "stateDiagram-v2\n"
        "    [*] --> open\n"
        "    open --> in_progress: start\n"
        "    in_progress --> done: finish\n"
        "    open --> cancelled: cancel\n"
        "    in_progress --> cancelled: cancel\n"
    )


def test_markdown_table__a_line_for_each_transition() -> None:
    assert TABLE.markdown_table() == (
        "| Action | From | To | Roles | Required |\n"
        "|---|---|---|---|---|\n"
        "| start | open | in_progress | foreman, mechanic | - |\n"
        "| finish | in_progress | done | foreman, mechanic | correction, minutes |\n"
        "| cancel | open, in_progress | cancelled | foreman | reason |\n"
    )


def test_roles_for__of_all_the_actions_the_service_left_out() -> None:
    by_itself = Transition("close", frozenset({"done"}), "closed", frozenset({SYSTEM}))
    table = TransitionTable("order", [START, FINISH, CANCEL, by_itself], initial="open")
    assert table.roles_for("cancel") == FOREMAN
    assert table.roles_for("cancel", "start", "close") == SHOP
    with pytest.raises(KeyError, match="override"):
        table.roles_for("override", "start")


def test_staying__a_row_for_each_state() -> None:
    assert staying("edit", ("open", "done"), SHOP, ("text",)) == [
        Transition("edit", frozenset({state}), state, SHOP, ("text",)) for state in ("open", "done")
    ]
