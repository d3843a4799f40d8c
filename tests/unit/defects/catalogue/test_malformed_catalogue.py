"""A malformed catalogue is refused, and every problem is named by file, point and field."""

import pytest

from defects.rules.catalogue.catalogue import Catalogue, MalformedCatalogueError, parse_catalogue

SOUND = """
[hazards.hot]
en = "It burns."
es = "Quema."

[defaults]
unit_kinds = ["tractor"]
authority = "statutory"
part_group = "tires"
system = "tires"
leg = "axles"
who = "driver"
method = "measure"
often = "weekly"
walks = ["pre_trip"]
evidence = "measurement"

[[point]]
name = "tires.steer.test"
order = 1
place_type = "tire"
axle_roles = ["steer"]
hazards = ["hot"]
source = { section = "49 CFR 393.75(b)", basis = "read" }
finding = [
  { code = "worn", default = true, severity = "before_next_use", text = { en = "Worn", es = "Gastada" } },
  { code = "bald", severity = "do_not_move", text = { en = "Bald", es = "Lisa" } },
]
[point.measure]
quantity = "tread"
unit_of_measure = "32nds"
minimum = "0"
maximum = "40"
decimals = 1
[[point.limit]]
id = "minimum"
fails_when = "below"
value = "4"
severity = "do_not_move"
[[point.limit]]
id = "watch"
fails_when = "below"
value = "6"
severity = "watch"
source = { section = "own", basis = "own" }
[point.text.en]
title = "Tread"
thing = "Tire tread"
ask = "Measure."
[point.text.es]
title = "Dibujo"
thing = "Dibujo de llanta"
ask = "Mida."
"""

BROKEN = {
    "not TOML at all": ("[defaults]", "[defaults", "", "cannot be read"),
    "unknown table": ("[hazards.hot]", "[hazard.hot]", "hazard", "is not known here"),
    "unknown key of a point": ("order = 1", 'order = 1\ncolor = "red"', "color", "is not known here"),
    "unknown key of a limit": ('id = "watch"', 'id = "watch"\nmood = 1', "limit[1].mood", "is not known here"),
    "no order": ("order = 1\n", "", "order", "is missing"),
    "order below zero": ("order = 1", "order = -1", "order", "greater than or equal to 0"),
    "row number as a name": ('"tires.steer.test"', '"T35"', "name", "should match pattern"),
    "endless name": ('"tires.steer.test"', '"tires.' + "a" * 80 + '"', "name", "at most 80"),
    "unknown unit kind": ('["tractor"]', '["tractor", "boat"]', "unit_kinds[1]", "should be 'tractor'"),
    "no unit kind": ('unit_kinds = ["tractor"]', "unit_kinds = []", "unit_kinds", "names nothing"),
    "unit kind twice": ('["tractor"]', '["tractor", "tractor"]', "unit_kinds", "twice"),
    "unknown hazard": ('hazards = ["hot"]', 'hazards = ["cold"]', "hazards", "is not a list of hot"),
    "hazard in one language": ('es = "Quema."', "", "hazards.hot", "is missing in es"),
    "carrier group on a statutory point": (
        'part_group = "tires"',
        'part_group = "food"',
        "part_group",
        "does not belong",
    ),
    "places without positions": ("order = 1", 'order = 1\nplaces = ["left"]', "places", "exactly where"),
    "axle role without an axle": (
        'place_type = "tire"',
        'place_type = "unit"',
        "axle_roles",
        "need a place on an axle",
    ),
    "unknown condition": (
        'id = "watch"',
        'id = "watch"\nwhen = { moon = "full" }',
        "limit[1].when.moon",
        "is not known here",
    ),
    "value a condition cannot have": (
        'id = "watch"',
        'id = "watch"\nwhen = { axle_role = "boat" }',
        "limit[1].when.axle_role[0]",
        "should be 'steer'",
    ),
    "condition without a value": (
        'id = "watch"',
        'id = "watch"\nwhen = { axle_role = [] }',
        "limit[1].when.axle_role",
        "names nothing",
    ),
    "place that is not the point's": (
        'id = "watch"',
        'id = "watch"\nwhen = { place = "left" }',
        "watch",
        "is not a place of this point",
    ),
    "minimum above the maximum": ('minimum = "0"', 'minimum = "50"', "measure", "not below the maximum"),
    "decimal with an exponent": ('value = "4"', 'value = "4e0"', "limit[0].value", "exact decimal"),
    "decimal that is not finite": ('value = "4"', "value = inf", "limit[0].value", "finite number"),
    "limit without a figure": ('value = "4"\n', "", "minimum", "needs exactly a value"),
    "limit with two figures": (
        'value = "4"',
        'value = "4"\nshare = { fact = "max_psi", percent = "50" }',
        "minimum",
        "needs exactly a value",
    ),
    "outside without bounds": (
        'fails_when = "below"\nvalue = "4"',
        'fails_when = "outside"\nvalue = "4"',
        "minimum",
        "needs exactly a value",
    ),
    "bounds turned round": (
        'fails_when = "below"\nvalue = "4"',
        'fails_when = "outside"\nlow = "5"\nhigh = "4"',
        "minimum",
        "not below the high bound",
    ),
    "figure nobody could measure": ('value = "4"', 'value = "400"', "minimum", "outside the plausible values"),
    "limit twice": ('id = "watch"', 'id = "minimum"', "minimum", "is there 2 times"),
    "limit named like a finding": ('id = "watch"', 'id = "bald"', "finding", "ambiguous"),
    "limit with an endless name": ('id = "watch"', 'id = "' + "a" * 38 + '"', "a" * 38, "leaves no room"),
    "two figures for one case": (
        'value = "6"\nseverity = "watch"\nsource = { section = "own", basis = "own" }',
        'value = "6"\nseverity = "do_not_move"',
        "watch",
        "says the same as minimum",
    ),
    "regulation from practice": (
        'value = "4"',
        'value = "4"\nkind = "regulation"\nsource = { section = "x", basis = "practice" }',
        "minimum",
        "section that was read",
    ),
    "regulation skipped when unknown": (
        'value = "4"',
        'value = "4"\nwhen_unknown = "skipped"',
        "minimum",
        "never skipped",
    ),
    "ends before it begins": (
        'value = "4"',
        'value = "4"\neffective_from = 2026-02-01\neffective_until = 2026-01-31',
        "minimum",
        "ends before it begins",
    ),
    "a time for a day": (
        'value = "4"',
        'value = "4"\neffective_from = 2026-02-01T10:00:00',
        "limit[0].effective_from",
        "valid date",
    ),
    "severity without its bars": (
        'value = "4"\nseverity = "do_not_move"',
        'value = "4"\nseverity = "do_not_move"\nbars = "nothing"',
        "minimum",
        "does not go with bars",
    ),
    "watch that bars movement": (
        'value = "6"\nseverity = "watch"',
        'value = "6"\nseverity = "watch"\nbars = "movement"',
        "watch",
        "does not go with bars",
    ),
    "raised to something milder": (
        'value = "4"',
        'value = "4"\nraised = [{ when = { dual = true }, severity = "watch" }]',
        "minimum",
        "no more severe",
    ),
    "brake counted at a tire": (
        'value = "4"',
        'value = "4"\ncounts_as_service_brake = true',
        "minimum",
        "without lying at a wheel end",
    ),
    "no default finding": ("default = true, ", "", "finding", "exactly one finding is the default"),
    "two default findings": (
        'code = "bald",',
        'code = "bald", default = true,',
        "finding",
        "exactly one finding is the default",
    ),
    "finding twice": ('code = "bald"', 'code = "worn"', "finding", "worn is there 2 times"),
    "finding without Spanish": (', es = "Lisa"', "", "finding[1].text", "is missing in es"),
    "no Spanish text": (
        '[point.text.es]\ntitle = "Dibujo"\nthing = "Dibujo de llanta"\nask = "Mida."\n',
        "",
        "text",
        "is missing in es",
    ),
    "endless thing": ('"Tire tread"', '"' + "a" * 61 + '"', "text.en.thing", "at most 60"),
    "figure in one language": ('thing = "Tire tread"', 'thing = "Tire tread"\nfigure = "left"', "text", "one language"),
    "blank title": ('title = "Tread"', 'title = "  "', "text.en.title", "should match pattern"),
    "no source": ('source = { section = "49 CFR 393.75(b)", basis = "read" }\n', "", "limit[0].source", "is missing"),
    "driver puts right what only a mechanic passes": (
        'who = "driver"',
        'who = "mechanic"\ncorrectable = true',
        "correctable",
        "not put right",
    ),
    "driver's point opened to trained drivers": (
        "order = 1",
        "order = 1\nfor_trained_drivers = true",
        "for_trained_drivers",
        "this is none",
    ),
}


def problems_of(document: str) -> list[tuple[str, str, str, str]]:
    with pytest.raises(MalformedCatalogueError) as refused:
        parse_catalogue({"tires.toml": document})
    return [(one.file, one.point, one.field, one.message) for one in refused.value.problems]


def test_sound_document__read() -> None:
    catalogue = parse_catalogue({"tires.toml": SOUND})
    assert list(catalogue.points) == ["tires.steer.test"]


@pytest.mark.parametrize("why", list(BROKEN))
def test_malformed__refused_by_file_point_and_field(why: str) -> None:
    old, new, field, message = BROKEN[why]
    assert SOUND.count(old) >= 1, "the sound document no longer holds what is to be broken"
    found = problems_of(SOUND.replace(old, new, 1))
    matching = [one for one in found if one[2] == field and message in one[3]]
    assert matching, found
    assert matching[0][0] == "tires.toml"


def test_every_problem__listed_at_once() -> None:
    broken = SOUND.replace("order = 1\n", "").replace('value = "6"', 'value = "six"').replace('ask = "Mida."', "")
    assert {field for _, _, field, _ in problems_of(broken)} == {"order", "limit[1].value", "text.es.ask"}


def test_same_name_in_two_files__refused_naming_the_first() -> None:
    with pytest.raises(MalformedCatalogueError) as refused:
        parse_catalogue({"a.toml": SOUND, "b.toml": SOUND})
    assert [str(one) for one in refused.value.problems] == ["b.toml: tires.steer.test: name: is used already in a.toml"]


def test_measurement_as_evidence_without_a_measure__refused() -> None:
    start, end = SOUND.index("[point.measure]"), SOUND.index("[point.text.en]")
    found = problems_of(SOUND[:start] + SOUND[end:])
    assert [field for _, _, field, _ in found] == ["evidence"]


def test_measure_without_a_limit__refused() -> None:
    start, end = SOUND.index("[[point.limit]]"), SOUND.index("[point.text.en]")
    assert [message for _, _, _, message in problems_of(SOUND[:start] + SOUND[end:])] == [
        "a measured point needs a limit"
    ]


def test_cooling_fault_that_bars_movement__refused() -> None:
    cooling = (
        SOUND.replace('authority = "statutory"', 'authority = "carrier"')
        .replace('part_group = "tires"', 'part_group = "food"')
        .replace('system = "tires"', 'system = "cooling_power"')
    )
    assert {message for _, _, _, message in problems_of(cooling)} == {"a cooling fault never bars movement"}


def test_subsystem_of_another_system__refused() -> None:
    foreign = SOUND.replace('hazards = ["hot"]\n', 'hazards = ["hot"]\nsubsystem = "brakes.friction"\n')
    assert [message for _, _, _, message in problems_of(foreign)] == ["brakes.friction is none of tires"]


def test_cold_freight_finding_raised_to_movement__refused() -> None:
    raised = SOUND.replace(
        'severity = "before_next_use", text',
        'severity = "next_shop_visit", bars = "cold_freight", '
        'raised = [{ when = { dual = true }, severity = "do_not_move" }], text',
    )
    messages = [message for _, _, _, message in problems_of(raised)]
    assert messages == ["bars freight and may not be raised until it bars movement"]


def test_caution_in_one_language__refused() -> None:
    one_sided = SOUND.replace('hazards = ["hot"]\n', "").replace(
        'ask = "Measure."', 'ask = "Measure."\ncaution = "Hot."'
    )
    assert [message for _, _, _, message in problems_of(one_sided)] == ["has a caution in one language only"]


def test_nothing_at_all__refused() -> None:
    with pytest.raises(MalformedCatalogueError, match="no point at all"):
        parse_catalogue({})


def test_bytes_that_are_no_text__refused() -> None:
    with pytest.raises(MalformedCatalogueError, match="cannot be read"):
        parse_catalogue({"a.toml": b"\xff\xfe"})


def test_stored_document_with_an_unknown_field__refused() -> None:
    document = parse_catalogue({"tires.toml": SOUND}).to_document()
    points = document["points"]
    assert isinstance(points, list)
    assert isinstance(points[0], dict)
    points[0]["color"] = "red"
    with pytest.raises(MalformedCatalogueError, match=r"tires\.steer\.test: color: is not known here"):
        Catalogue.from_document(document)
