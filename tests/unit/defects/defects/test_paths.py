"""What no path through the table of defects may do, whoever takes it."""

from common.transitions import SYSTEM
from defects.transitions import DEFECTS

Path = tuple[tuple[str, str], ...]
REPAIRS = {"certify_repaired", "certify_on_the_spot"}
"""Each by a signed certificate that the defect was repaired."""
KEEPS_REPAIR = {"supersede", "close_on_certificate", "close_by_review"}
"""After which a defect that was certified repaired still is."""


def paths(length: int) -> list[Path]:
    """Every way through the table of defects, as (action, state it led to), of up to so many steps."""
    found: list[Path] = []
    waiting: list[Path] = [()]
    while waiting:
        path = waiting.pop()
        found.append(path)
        if len(path) == length:
            continue
        state = path[-1][1] if path else "reported"
        steps = [(row.action, row.target) for row in DEFECTS.transitions if state in row.sources]
        waiting += [(*path, step) for step in steps]
    return found


ALL = paths(6)


def is_repaired(path: Path) -> bool:
    repaired = False
    for action, state in path:
        if action in REPAIRS:
            repaired = True
        elif not (action in KEEPS_REPAIR and state in {"certified", "closed"}):
            repaired = repaired and state == "closed"
    return repaired


def test_every_path__there_are_many() -> None:
    assert len(ALL) > 5000
    assert {path[-1][1] for path in ALL if path} == set(DEFECTS.states)


def test_every_path__none_closes_an_unrepaired_defect() -> None:
    closing = [path for path in ALL if path and path[-1][1] == "closed"]
    assert closing
    assert [path for path in closing if not is_repaired(path)] == []


def test_every_path__certified_only_by_a_certificate_since_the_last_reopening() -> None:
    certified = [path for path in ALL if path and path[-1][1] == "certified"]
    assert certified
    for path in certified:
        actions = [action for action, _ in path]
        last_reopened = max((index for index, action in enumerate(actions) if action == "reopen"), default=-1)
        assert REPAIRS & set(actions[last_reopened + 1 :]), path


def test_every_state__a_hold_on_the_defect_can_still_come_to_be_lifted() -> None:
    """The hold lifts once the defect is certified, closed or entered in error: each state must lead to one of them."""
    ends = {"certified", "closed", "entered_in_error"}
    for state in DEFECTS.states:
        reached = {state}
        for _ in DEFECTS.states:
            reached |= {row.target for row in DEFECTS.transitions if reached & row.sources}
        assert reached & ends, state
        by_hand = {row.target for row in DEFECTS.transitions if state in row.sources and SYSTEM not in row.roles}
        assert state in ends or by_hand & ends, state


def test_deferral__never_ends_a_defect_without_a_certificate() -> None:
    by_itself = [row for row in DEFECTS.transitions if "deferred" in row.sources and SYSTEM in row.roles]
    targets = {row.target for row in by_itself if row.action not in REPAIRS}
    assert targets == {"in_repair", "reported"}
