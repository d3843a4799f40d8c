"""Reading defects, holds and reports over HTTP: lists by what is asked, pages with their story, tags of a change."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from defects.enums import Bars, Severity
from defects.models import Defect, Hold, Report
from tests.support.acting import acting_as, codes
from tests.support.submissions import answer_to
from tests.support.yard import HORN, STROKE, TAPE, Yard, photo_on, stroke_check, version_of


def listed(path: str, by: str = "iris", **query: str) -> list[Any]:
    answer = acting_as(by).get(path, **query)
    assert answer.status_code == 200, answer.content
    results: list[Any] = answer.json()["results"]
    return results


def numbers(path: str, **query: str) -> set[int]:
    return {row["number"] for row in listed(path, **query)}


# Defects


@pytest.fixture
def several(yard: Yard) -> dict[str, Defect]:
    found = {
        "stroke": yard.stroke(),
        "tape": yard.finding(TAPE, finding="damaged"),
        "fault": yard.fault(),
        "horn": yard.finding(HORN, finding="silent", unit=yard.tractor),
        "dirt": yard.finding("inside.cleanliness", finding="residue_or_odor"),
    }
    yard.certify(found["horn"], "sam")
    return found


FILTERED = {
    "": {"stroke", "tape", "fault", "horn", "dirt"},
    "unit=LR-46": {"stroke", "tape", "fault", "dirt"},
    "unit=nl-15": {"horn"},
    "state=certified": {"horn"},
    "severity=do_not_move": {"stroke"},
    "bars=food": {"dirt"},
    "bars=movement": {"stroke", "tape", "fault", "horn"},
    "bars=nothing": set(),
    "graded=false": {"fault"},
    "open=true": {"stroke", "tape", "fault", "dirt"},
    "open=false": {"horn"},
    "system=brakes": {"stroke"},
    "system=lamps&unit=LR-46": {"tape"},
    "subsystem=brakes.actuation": {"stroke"},
    "subsystem=brakes.friction": set(),
    "subsystem=lamps.reflecting": {"tape"},
}


def test_defects__filtered(several: dict[str, Defect]) -> None:
    names = {defect.number: name for name, defect in several.items()}
    assert {query: {names[number] for number in numbers(f"defects?{query}")} for query in FILTERED} == FILTERED


def test_defects__newest_first_in_one_line_each(several: dict[str, Defect]) -> None:
    rows = listed("defects", unit="LR-46")
    assert [row["number"] for row in rows] == [several[name].number for name in ("dirt", "fault", "tape", "stroke")]
    stroke = rows[-1]
    assert stroke["what"] == "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in"
    assert (stroke["value"], stroke["limit"], stroke["unit_of_measure"]) == ("2.31", "2", "in")
    assert (stroke["found_by"]["name"], stroke["order"] is not None) == ("Iris Quade", True)


def test_defects_of_ones_own__what_one_found_or_saw_again_and_what_became_of_it(yard: Yard) -> None:
    stroke = yard.stroke()
    tape = yard.finding(TAPE, finding="damaged", by="sol")
    yard.stroke(by="sol", value="2.35")
    yard.repaired_stroke(stroke)
    yard.lift(Hold.objects.get(defect=stroke))
    [again] = yard.walk("greta", checks=[stroke_check("2.12")])

    [row] = listed("defects", "iris", finder="me")
    assert (row["number"], row["state"], row["order"]) == (stroke.number, "certified", stroke.order_number)
    assert (row["certificate"]["kind"], row["certificate"]["statement"]) == ("repaired", "repaired")
    assert (row["comeback_of"], row["comebacks"]) == (None, [again.number])
    assert {row["number"] for row in listed("defects", "sol", finder="me")} == {stroke.number, tape.number}
    [row] = listed("defects", "iris", comeback="true")
    assert (row["number"], row["comeback_of"]) == (again.number, stroke.number)
    assert (row["comebacks"], row["certificate"]) == ([], None)
    assert again.number not in numbers("defects", comeback="false")


def test_defects_of_another__for_those_who_look_at_peoples_work(yard: Yard) -> None:
    stroke = yard.stroke()
    key = str(stroke.found_by_id)
    assert [row["number"] for row in listed("defects", "hob", finder=key)] == [stroke.number]
    assert [row["number"] for row in listed("defects", "iris", finder=key)] == [stroke.number]
    refused = acting_as("sol").get("defects", finder=key)
    assert (refused.status_code, refused.json()["code"]) == (403, "role_not_allowed")
    for nobody in ("01a20000-0000-7000-8000-000000000000", "iris"):
        refused = acting_as("hob").get("defects", finder=nobody)
        assert (refused.status_code, [name for name, _ in codes(refused)]) == (400, ["finder"])


def test_defects__as_many_statements_for_two_as_for_five(several: dict[str, Defect]) -> None:
    counted = []
    for limit in ("2", "5"):
        with CaptureQueriesContext(connection) as captured:
            assert len(listed("defects", limit=limit)) == int(limit)
        counted.append(len(captured))
    assert counted[0] == counted[1]


@pytest.mark.parametrize(
    "parameter", ["comeback", "state", "severity", "bars", "graded", "system", "subsystem", "open"]
)
@pytest.mark.usefixtures("yard")
def test_defects_by_a_word_that_is_none__refused_at_its_parameter(parameter: str) -> None:
    refused = acting_as("iris").get("defects", **{parameter: "purple"})
    assert (refused.status_code, [name for name, _ in codes(refused)]) == (400, [parameter])


def test_defect__by_number_or_key_with_its_whole_story(yard: Yard) -> None:
    defect = yard.stroke()
    yard.stroke(by="sol", value="2.35")
    yard.repaired_stroke(defect)
    yard.lift(Hold.objects.get(defect=defect))
    [again] = yard.walk("sol", checks=[stroke_check("2.12")])

    page = acting_as("greta").get(f"defects/{defect.number}").json()

    assert page == acting_as("greta").get(f"defects/{defect.pk}").json()
    assert [item["how"] for item in page["sightings"]] == ["new", "seen_again"]
    assert [item["person"]["name"] for item in page["sightings"]] == ["Iris Quade", "Sol Marrin"]
    [certificate] = page["certificates"]
    assert (certificate["kind"], certificate["after_value"], certificate["in_force"]) == ("repaired", "1.62", True)
    assert [person["name"] for person in certificate["worked_by"]] == ["Greta Lind"]
    [hold] = page["holds"]
    assert hold["lifted_at"] is not None
    assert (page["comebacks"], page["comeback_of"]) == ([again.number], None)
    assert acting_as("greta").get(f"defects/{again.number}").json()["comeback_of"] == defect.number
    assert (page["regulation_severity"], page["evidence"], page["rule"]) == (
        "before_next_use",
        "measurement",
        f"{STROKE}#type-24-long",
    )
    assert page["caution"]


@pytest.mark.parametrize("ref", ["999999", "0", "x", "01a20000-0000-7000-8000-000000000000", "9" * 40])
@pytest.mark.usefixtures("yard")
def test_defect_nobody_knows__not_found(ref: str) -> None:
    missing = acting_as("iris").get(f"defects/{ref}")
    assert (missing.status_code, missing.json()["code"]) == (404, "defect_unknown")


def test_allowed_actions__what_this_person_may_do_now(yard: Yard) -> None:
    graded, ungraded = yard.stroke(), yard.fault()

    def allowed(by: str, defect: Defect) -> list[str]:
        return list(acting_as(by).get(f"defects/{defect.number}").json()["allowed_actions"])

    assert allowed("iris", graded) == ["certify_repaired"]
    assert allowed("greta", graded) == ["certify_repaired", "certify_unnecessary"]
    assert allowed("hob", graded) == ["certify_repaired", "certify_unnecessary", "regrade", "enter_in_error"]
    assert allowed("vera", graded) == []
    assert allowed("hob", ungraded) == ["grade", "enter_in_error"]
    assert allowed("greta", ungraded) == []


def changed(yard: Yard) -> dict[str, Callable[[Defect], object]]:
    return {
        "sighting": lambda _: yard.stroke(by="sol"),
        "photo": photo_on,
        "regrade": lambda defect: yard.regrade(defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT),
        "certificate": yard.repaired_stroke,
    }


@pytest.mark.parametrize("what", ["sighting", "photo", "regrade", "certificate"])
def test_tag__changes_with_everything_that_the_page_shows(yard: Yard, what: str) -> None:
    defect = yard.stroke()
    caller = acting_as("greta")
    tag = caller.get(f"defects/{defect.number}").headers["ETag"]
    assert caller.send("GET", f"defects/{defect.number}", headers={"If-None-Match": tag}).status_code == 304

    changed(yard)[what](defect)

    again = caller.send("GET", f"defects/{defect.number}", headers={"If-None-Match": tag})
    assert (again.status_code, again.headers["ETag"] != tag) == (200, True)
    assert again.headers["ETag"].startswith(f'"{version_of(defect)}-')


def test_tag__changes_when_a_hold_is_lifted_or_the_fault_comes_back(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    versions = [version_of(defect)]
    yard.lift(Hold.objects.get(defect=defect))
    versions.append(version_of(defect))
    yard.walk("sol", checks=[stroke_check("2.12")])
    versions.append(version_of(defect))
    assert versions == sorted(set(versions))


# Holds


def test_holds__filtered_and_with_what_they_wait_for(yard: Yard) -> None:
    defect = yard.stroke()
    own = Hold.objects.get(defect=defect)
    order = yard.officers_order(defect)
    yard.repaired_stroke(defect)
    yard.lift(own)

    assert numbers("holds") == {own.number, order.number}
    assert numbers("holds", open="true") == {order.number}
    assert numbers("holds", open="false") == {own.number}
    assert numbers("holds", kind="officer", unit="LR-46") == {order.number}
    assert numbers("holds", unit="NL-15") == set()
    page = acting_as("hob").get(f"holds/{order.number}").json()
    assert [(item["number"], item["state"]) for item in page["waits_for"]] == [(defect.number, "certified")]
    assert (page["kind"], page["state"], page["allowed_actions"]) == ("officer", "active", ["lift"])
    assert acting_as("iris").get(f"holds/{order.pk}").json()["allowed_actions"] == []
    lifted = acting_as("hob").get(f"holds/{own.number}").json()
    assert (lifted["lifted_by"]["name"], lifted["allowed_actions"]) == ("Hob Anselm", [])


@pytest.mark.parametrize("ref", ["999999", "x", "9" * 40])
@pytest.mark.usefixtures("yard")
def test_hold_nobody_knows__not_found(ref: str) -> None:
    missing = acting_as("iris").get(f"holds/{ref}")
    assert (missing.status_code, missing.json()["code"]) == (404, "hold_unknown")


# Reports


def test_report__every_check_in_plain_words_with_its_verdict(yard: Yard) -> None:
    check = answer_to("inside.cleanliness", "not_reached", reason="sealed", note="seal 4711")
    yard.walk(checks=[stroke_check("2.31"), check, answer_to("no.such.point", "fine")])
    report = Report.objects.get()

    body = acting_as("sol").get(f"reports/{report.pk}").json()

    stroke, sealed, unknown = body["items"]
    assert (stroke["thing"], stroke["where"], stroke["value"]) == ("Pushrod stroke", "axle 2 right", "2.31")
    assert (stroke["verdict"]["outcome"], stroke["verdict"]["limit_value"]) == ("finding", "2")
    assert (sealed["answer"], sealed["reason"], sealed["note"]) == ("not_reached", "sealed", "seal 4711")
    assert unknown["thing"] == "no.such.point"
    assert [(item["code"], item["detail"], item["check"]) for item in body["flags"]] == [
        ("point_unknown", "Unknown check no.such.point.", 2)
    ]
    assert (body["signature"]["signer"]["name"], body["signature"]["method"]) == ("Iris Quade", "drawn")
    assert [item["number"] for item in body["defects"]] == [Defect.objects.get().number]
    assert (body["review"], body["catalogue_known"]) == ("due", True)


def test_report__in_the_readers_language(yard: Yard) -> None:
    yard["sol"].language = "es"
    yard["sol"].save()
    yard.stroke()
    body = acting_as("sol").get(f"reports/{Report.objects.get().pk}").json()
    assert body["items"][0]["where"] == "eje 2 derecha"


def test_review__shows_on_the_report(yard: Yard) -> None:
    yard.repaired_stroke(yard.stroke())
    yard.walk(checks=[])
    assert {row["review"] for row in listed("reports")} == {"due", "not_due"}
    yard.review()
    reviewed = [row for row in listed("reports") if row["review"] == "reviewed"]
    page = acting_as("iris").get(f"reports/{reviewed[0]['id']}").json()
    assert [review["person"]["name"] for review in page["reviews"]] == ["Sol Marrin"]


def test_reports__filtered_by_unit_person_and_kind(yard: Yard) -> None:
    yard.stroke()
    yard.finding(HORN, finding="silent", unit=yard.tractor, by="sol")
    assert len(listed("reports", "hob", unit="NL-15")) == 1
    assert [row["driver"]["name"] for row in listed("reports", "hob", person=str(yard["sol"].pk))] == ["Sol Marrin"]
    assert [row["driver"]["name"] for row in listed("reports", "sol", person="me")] == ["Sol Marrin"]
    assert len(listed("reports", kind="pre_trip")) == 2
    first, last = sorted(row["performed_at"] for row in listed("reports"))
    assert [row["performed_at"] for row in listed("reports", since=last)] == [last]
    assert [row["performed_at"] for row in listed("reports", until=last)] == [first]
    assert listed("reports", kind="drop") == []


def test_reports_of_a_person__ones_own_or_by_ones_work(yard: Yard) -> None:
    of = {"person": str(yard["iris"].pk)}
    told = {by: acting_as(by).get("reports", **of).status_code for by in ("iris", "sol", "cal", "hob", "vera")}
    assert told == {"iris": 200, "sol": 403, "cal": 403, "hob": 200, "vera": 200}


def test_flagged_reports__for_those_who_look_at_them(yard: Yard) -> None:
    yard.walk(checks=[answer_to("no.such.point", "fine")])
    yard.walk(checks=[])
    for by in ("hob", "greta", "vera"):
        assert [row["flagged"] for row in listed("reports", by, flagged="true")] == [1]
        assert len(listed("reports", by, flagged="false")) == 1
    assert [acting_as(by).get("reports", flagged="true").status_code for by in ("iris", "cal")] == [403, 403]


def test_report_nobody_knows__not_found(yard: Yard) -> None:
    missing = acting_as("iris").get(f"reports/{yard.trailer.pk}")
    assert (missing.status_code, missing.json()["code"]) == (404, "report_unknown")


# What it costs


def statements(path: str) -> int:
    caller = acting_as("vera")
    with CaptureQueriesContext(connection) as captured:
        assert caller.get(path).status_code == 200
    return len(captured)


def test_lists__as_many_statements_for_20_rows_as_for_2(yard: Yard) -> None:
    budgets = {"defects": 5, "holds": 5, "reports": 4}
    places = [f"axle-{axle}-{side}" for axle in (1, 2) for side in ("left", "right")]
    points = ["wheels.nuts-and-rims", "brakes.service.mounting", "brakes.hoses.wheel-end", "brakes.parking.caging-bolt"]
    spots = [(point, place) for point in points for place in places]
    for point, place in spots[:2]:
        yard.finding(point, place)
    few = {path: statements(f"{path}?limit=200") for path in budgets}
    tires = [("tires.trailer.body", f"axle-1-left-{which}") for which in ("outer", "inner")]
    for point, place in [*spots[2:], *tires]:
        yard.finding(point, place)
    assert all(len(listed(path, limit="200")) >= 18 for path in budgets)
    assert {path: statements(f"{path}?limit=200") for path in budgets} == few
    assert [path for path in budgets if few[path] > budgets[path]] == []


def test_pages__within_their_budget_however_much_hangs_on_them(yard: Yard) -> None:
    defect = yard.stroke()
    budgets = {
        f"defects/{defect.number}": 11,
        f"holds/{Hold.objects.get().number}": 5,
        f"reports/{Report.objects.get().pk}": 7,
        "walk?tractor=NL-15&trailer=LR-46": 9,
        "driver-reviews/pending?unit=NL-15&unit=LR-46": 6,
    }
    few = {path: statements(path) for path in budgets}
    for number in range(8):
        yard.stroke(by="sol", value=f"2.3{number}")
    assert {path: statements(path) for path in budgets} == few
    assert [path for path in budgets if few[path] > budgets[path]] == []


# A row that cannot be shown


def test_report_that_cannot_be_shown__stands_beside_the_others_by_its_key(
    yard: Yard, caplog: pytest.LogCaptureFixture
) -> None:
    yard.stroke()
    yard.fault()
    broken, whole = Report.objects.filter(unit=yard.trailer).order_by("performed_at")
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("ALTER TABLE defects_report DISABLE TRIGGER USER")
    Report.objects.filter(pk=broken.pk).update(checks=[{"point": "a word of another time"}])

    answer = acting_as("iris").get("reports", unit="LR-46")

    assert answer.status_code == 200
    assert [row["id"] for row in answer.json()["results"]] == [str(whole.pk)]
    says = "This row cannot be shown. Tell an administrator its key."
    assert answer.json()["unreadable"] == [{"id": str(broken.pk), "says": says}]
    assert [record for record in caplog.records if record.exc_info and str(broken.pk) in record.message]
    assert "unreadable" not in acting_as("iris").get("defects").json()
