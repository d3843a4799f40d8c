"""No sentence shows a person a code word: whatever a fact may hold has its word in both languages."""

import string

import pytest

from common.messages import Message, registered_codes, render, wording
from common.transitions import TransitionTable
from defects.enums import Bars, Evidence, Severity
from defects.transitions import TABLES as DEFECT_TABLES
from fleet.enums import MeterKind, Role, UnitKind
from fleet.rules.documents.loading import load_document_kinds
from fleet.transitions import TABLES as FLEET_TABLES
from workorders.transitions import TABLES as SHOP_TABLES

TABLES: tuple[TransitionTable, ...] = (*FLEET_TABLES, *DEFECT_TABLES, *SHOP_TABLES)
CODED: dict[str, set[str]] = {
    "state": {state for table in TABLES for state in table.states},
    "severity": set(Severity),
    "regulation": set(Severity),
    "bars": set(Bars),
    "evidence": set(Evidence),
    "meter": set(MeterKind),
    "known_kind": set(UnitKind),
    "roles": {"any_role", *Role},
    "kind": set(load_document_kinds()),
    "missing": {"what", "by", "photo_hash"},
}
"""By the name of a fact, every code word that it may hold."""
SAME_IN_SPANISH = {"tractor", "auditor"}


def facts_of(code: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(str(wording(code).template)) if name}


@pytest.mark.parametrize("fact", CODED)
def test_code_word_among_the_facts__shown_as_a_word_in_both_languages(fact: str) -> None:
    naming = [code for code in registered_codes() if fact in facts_of(code)]
    assert naming, f"no sentence names {fact}"
    for code in naming:
        facts = dict.fromkeys(facts_of(code), "…")
        for value in sorted(CODED[fact]):
            for language in ("en", "es"):
                bare = render(Message(code, {**facts, fact: "¤"}), language)
                text = render(Message(code, {**facts, fact: value}), language)
                assert "_" not in text, text
                assert language == "en" or text != bare.replace("¤", value) or value in SAME_IN_SPANISH, text


@pytest.mark.parametrize(
    ("language", "text"),
    [
        ("en", "Not possible while it is not reproduced."),
        ("es", "No es posible mientras está en el estado no reproducido."),
    ],
)
def test_state__in_the_middle_of_a_sentence(language: str, text: str) -> None:
    assert render(Message("action_not_allowed", {"state": "not_reproduced"}), language) == text


def test_text_of_a_person__is_never_taken_for_a_code_word() -> None:
    reason = {"defect": 7, "reason": "open", "severity": "next_shop_visit"}
    assert render(Message("history_defect_regraded", reason), "es").endswith(" open")
