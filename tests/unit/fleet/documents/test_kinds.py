"""The committed kinds of document, which of them a subject needs, and every fault the reader of the file names."""

from collections.abc import Set as AbstractSet

import pytest

from fleet.rules.documents.kinds import CONDITIONS, SUBJECTS, documents_needed
from fleet.rules.documents.loading import MalformedDocumentKinds, Problem, load_document_kinds, parse_document_kinds
from fleet.rules.records.retention import RECORD_KINDS

SOUND = """
[[kind]]
name = "registration"
applies_to = ["tractor", "trailer"]
period = { rule = "explicit_date", may_be_permanent = true }
required = true
bars_clearance = true
keep = "superseded_document"
source = { text = "State law", basis = "memory" }
text = { en = "registration", es = "registro" }
"""


def _problems(text: str) -> tuple[Problem, ...]:
    try:
        parse_document_kinds(text)
    except MalformedDocumentKinds as refusal:
        return refusal.problems
    return ()


def _needed(
    subject: str, facts: AbstractSet[str] = frozenset(), states: AbstractSet[str] | None = frozenset()
) -> list[tuple[str, str]]:
    needs = documents_needed(load_document_kinds().values(), subject, facts, states)
    return [(need.kind.name, need.state) for need in needs]


def test_committed_file__sound_and_every_subject_and_condition_used() -> None:
    kinds = load_document_kinds().values()
    assert {subject for kind in kinds for subject in kind.applies_to} == SUBJECTS
    assert {fact for kind in kinds for fact in kind.when} == set(CONDITIONS)
    assert {kind.keep for kind in kinds} <= set(RECORD_KINDS)


@pytest.mark.parametrize(
    ("subject", "facts", "states", "needs"),
    [
        ("tractor", set(), set(), [("registration", ""), ("periodic_inspection", "")]),
        ("trailer", set(), {"KY", "CA"}, [("registration", ""), ("periodic_inspection", "")]),
        ("cooling_unit", set(), {"NV"}, []),
        ("cooling_unit", set(), {"CA"}, [("cooling_unit_label", "CA"), ("cooling_unit_in_use_standard", "CA")]),
        (
            "tractor",
            {"crosses_state_lines", "taxable_55000_lb", "leased_in"},
            {"OR", "KY", "TX"},
            [
                ("registration", ""),
                ("apportioned_cab_card", ""),
                ("periodic_inspection", ""),
                ("fuel_tax_licence", ""),
                ("heavy_vehicle_use_tax", ""),
                ("lease", ""),
                ("weight_distance_permit", "KY"),
                ("weight_distance_permit", "OR"),
            ],
        ),
        ("carrier", set(), set(), [("unified_registration_fee", ""), ("biennial_update", "")]),
        (
            "carrier",
            {"for_hire"},
            set(),
            [("unified_registration_fee", ""), ("biennial_update", ""), ("insurance", "")],
        ),
        ("person", {"drives"}, set(), [("commercial_driver_licence", ""), ("medical_certificate", "")]),
        (
            "person",
            {"inspects_periodically", "answers_for_brakes", "opens_refrigerant_circuits"},
            set(),
            [("periodic_inspector_evidence", ""), ("brake_inspector_evidence", ""), ("refrigerant_card", "")],
        ),
    ],
)
def test_documents_needed__by_subject_facts_and_states(
    subject: str, facts: AbstractSet[str], states: AbstractSet[str], needs: list[tuple[str, str]]
) -> None:
    assert _needed(subject, frozenset(facts), frozenset(states)) == needs


def test_states_left_open__every_state_that_any_kind_knows() -> None:
    assert _needed("tractor", states=None)[2:] == [
        ("weight_distance_permit", state) for state in ("CT", "KY", "NM", "NY", "OR")
    ]


def test_sound_text__parsed_with_defaults() -> None:
    kind = parse_document_kinds(SOUND)["registration"]
    assert kind.applies_to == {"tractor", "trailer"}
    assert kind.lead_days == (60, 30, 14, 7, 3, 1, 0)
    assert (kind.overdue_every_days, kind.overdue_for_days) == (7, None)
    assert kind.text["es"] == "registro"
    assert (kind.source.text, kind.source.basis) == ("State law", "memory")


@pytest.mark.parametrize(
    ("old", "new", "where", "what"),
    [
        ('name = "registration"\n', "", "kind 1.name", "is missing"),
        ('"registration"\napplies', '"Registration"\napplies', "Registration.name", "should match pattern"),
        ('["tractor", "trailer"]', "[]", "registration.applies_to", "names nothing"),
        ('["tractor", "trailer"]', '["tractor", "ship"]', "registration.applies_to", "does not know ship"),
        ('["tractor", "trailer"]', '["tractor", "tractor"]', "registration.applies_to", "names something twice"),
        ("explicit_date", "someday", "registration.period", "any of the expected tags"),
        ("may_be_permanent", "may_be_forever", "registration.period.may_be_forever", "is not known here"),
        ('"explicit_date", may_be_permanent = true', '"months_from_start"', "registration.period.months", "is missing"),
        (
            '"explicit_date", may_be_permanent = true',
            '"months_from_start", months = 0',
            "registration.period.months",
            "greater than or equal to 1",
        ),
        (
            '"explicit_date", may_be_permanent = true',
            '"calendar_year", aboard_by = "13-01"',
            "registration.period.aboard_by",
            "must be a month and a day",
        ),
        (
            '"explicit_date", may_be_permanent = true',
            '"calendar_year", aboard_by = "02-29"',
            "registration.period.aboard_by",
            "must be a month and a day",
        ),
        ("required = true", "required = false", "registration.bars_clearance", "only a required document can bar"),
        ("superseded_document", "forever", "registration.keep", "no record kind forever"),
        ('basis = "memory"', 'basis = "hearsay"', "registration.source.basis", "should be 'read', 'memory'"),
        (', basis = "memory"', "", "registration.source.basis", "is missing"),
        ('"State law"', '" "', "registration.source.text", "should match pattern"),
        (', es = "registro"', "", "registration.text", "in each of en, es"),
        ("required = true", "required = true\nlead_days = [1, 7]", "registration.lead_days", "must fall"),
        ("required = true", "required = true\nlead_days = [7, 7]", "registration.lead_days", "must fall"),
        ("required = true", "required = true\nlead_days = []", "registration.lead_days", "names nothing"),
        (
            "required = true",
            "required = true\nlead_days = [-1]",
            "registration.lead_days[0]",
            "greater than or equal to 0",
        ),
        (
            "required = true",
            "required = true\noverdue_every_days = 0",
            "registration.overdue_every_days",
            "or equal to 1",
        ),
        ("required = true", 'required = true\nstates = ["XX"]', "registration.states", "does not know XX"),
        ("required = true", 'required = true\nwhen = ["raining"]', "registration.when", "does not know raining"),
        ("required = true", "required = true\ncolour = 1", "registration.colour", "is not known"),
    ],
)
def test_one_fault__named_with_its_place(old: str, new: str, where: str, what: str) -> None:
    assert old in SOUND
    problems = _problems(SOUND.replace(old, new))
    assert [problem.where for problem in problems] == [where]
    assert what in problems[0].what


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("required = true", "required = true\noverdue_every_days = 1"),
        ("required = true", "required = true\noverdue_for_days = 0"),
        ("required = true", "required = true\nlead_days = [0]"),
        ('"explicit_date", may_be_permanent = true', '"months_from_start", months = 1'),
        ('"explicit_date", may_be_permanent = true', '"calendar_year", aboard_by = "12-31"'),
    ],
)
def test_smallest_values__sound(old: str, new: str) -> None:
    assert _problems(SOUND.replace(old, new)) == ()


def test_several_faults__all_listed() -> None:
    text = SOUND.replace("explicit_date", "someday").replace("superseded_document", "forever") + SOUND
    with pytest.raises(MalformedDocumentKinds) as refusal:
        parse_document_kinds(text)
    assert sorted(problem.where for problem in refusal.value.problems) == [
        "registration.keep",
        "registration.name",
        "registration.period",
    ]


@pytest.mark.parametrize("text", ["", "kind = 3", "[[kind]", "[other]\na = 1", SOUND + "\n[other]\na = 1"])
def test_text_that_holds_no_kinds__one_problem_with_the_file(text: str) -> None:
    problems = _problems(text)
    assert [problem.where for problem in problems] == ["file"]
