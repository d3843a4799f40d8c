"""A refusal carries its code, its facts and its fields, and no fact hides a member of the answer."""

import pytest

from common import errors
from common.errors import Conflict, FieldProblem, Invalid


def test_pointer__one_problem_with_the_same_code_and_facts() -> None:
    error = Invalid("text_too_long", pointer="/note", max_length=3)
    assert (error.code, error.facts) == ("text_too_long", {"max_length": 3})
    assert error.problems == (FieldProblem("/note", "text_too_long", {"max_length": 3}),)


def test_pointer_and_problems__both_kept_in_order() -> None:
    error = Invalid("invalid", pointer="/a", problems=[FieldProblem("/b", "required")])
    assert error.problems == (FieldProblem("/a", "invalid", {}), FieldProblem("/b", "required", {}))


def test_no_pointer__no_problems() -> None:
    assert Conflict("row_in_the_way").problems == ()


def test_words_for_the_log__code_facts_and_fields() -> None:
    error = Invalid("invalid", problems=[FieldProblem("/b", "required")], unit="T-7")
    assert str(error) == "invalid (unit='T-7') /b: required"


@pytest.mark.parametrize("name", sorted(errors.RESERVED_FACTS - {"code", "pointer"}))
def test_fact_named_like_a_member_of_the_document__refused(name: str) -> None:
    facts: dict[str, object] = {name: 1}
    with pytest.raises(ValueError, match=name):
        Conflict("row_in_the_way", pointer=None, problems=(), **facts)


def test_fact_of_a_field_named_like_a_member__refused() -> None:
    with pytest.raises(ValueError, match="status"):
        FieldProblem("/a", "invalid", {"status": 1})
