"""GET of an audit rehearsal: what is pulled, the gap of a review that nobody signed, and what cannot be read."""

from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.management import call_command

from fleet.models import Document, Unit
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.defects import TURN_LAMPS, certify, lamp_out, owed, review, unit
from tests.support.walks import body, put

pytestmark = pytest.mark.usefixtures("ninefold")

HOUR = timedelta(hours=1)
EVERY_UNIT = 50


def rehearsed(**query: Any) -> Any:
    answer = acting_as("lena").get("audit-rehearsals", **query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def gaps_of(number: str, *, seed: int = 28) -> list[dict[str, Any]]:
    pulled = rehearsed(units=EVERY_UNIT, seed=seed)["pulled"]
    found: list[dict[str, Any]] = next(row["gaps"] for row in pulled if row["unit"]["number"] == number)
    return found


def drive_again(clock: time_machine.Traveller, *, certified: bool = True, reviewed: bool = True) -> str:
    """Iris reports a lamp of LR-42, it is certified or not, Sol reviews or does not, and drives. Key of the report."""
    defect = lamp_out(number="LR-42")
    [listed] = owed("sol", "LR-42")["units"][0]["reports"]
    clock.move_to(NOON + HOUR)
    if certified:
        answer = certify("greta", defect)
        assert answer.status_code == 200, answer.content
    if reviewed:
        answer = review("sol", "LR-42")
        assert answer.status_code == 201, answer.content
    clock.move_to(NOON + 3 * HOUR)
    put(acting_as("sol"), body([{"unit": "LR-42"}], kind="en_route", finished_at=NOON + 2 * HOUR))
    key: str = listed["id"]
    return key


def test_seed__pulls_the_same_units_and_is_told_when_it_is_drawn() -> None:
    first = rehearsed()
    assert [len(first["pulled"]), first["day"], first["gaps"]] == [5, "2026-03-06", 0]
    assert {row["unit"]["kind"] for row in first["pulled"]} == {"tractor", "trailer", "cooling_unit"}
    assert rehearsed(seed=first["seed"]) == first
    pulled = first["pulled"][0]
    assert pulled["file"] == f"/api/v1/units/{pulled['unit']['id']}/file"


def test_driven_again_without_review__one_gap_with_its_section_and_link(frozen_clock: time_machine.Traveller) -> None:
    key = drive_again(frozen_clock, reviewed=False)
    assert gaps_of("LR-42") == [
        {
            "code": "gap_review_missing",
            "says": ("The report of Fri 6 Mar 2026 was not reviewed before the unit was driven again Fri 6 Mar 2026."),
            "section": "49 CFR 396.13",
            "link": f"/api/v1/reports/{key}",
        }
    ]
    assert rehearsed(units=EVERY_UNIT)["gaps"] == 1
    assert acting_as("lena").get(f"reports/{key}").status_code == 200


def test_driven_again_without_certificate__gap_of_the_certificate_too(frozen_clock: time_machine.Traveller) -> None:
    drive_again(frozen_clock, certified=False, reviewed=False)
    assert [gap["section"] for gap in gaps_of("LR-42")] == ["49 CFR 396.11(a)(3)", "49 CFR 396.13"]


def test_certified_and_reviewed_before_it_is_driven__no_gap(frozen_clock: time_machine.Traveller) -> None:
    drive_again(frozen_clock)
    assert gaps_of("LR-42") == []


def test_officers_report_without_answer_after_15_days__one_gap_on_each_unit(
    frozen_clock: time_machine.Traveller,
) -> None:
    lamp = {"unit": "LR-42", "point": TURN_LAMPS, "place": "left", "out_of_service": False}
    inspected = {
        "report_number": "IL-0306-1",
        "inspected_at": NOON.isoformat(),
        "officer": "Officer Quillick, State police",
        "us_state": "IL",
        "level": 1,
        "units": ["NL-12", "LR-42"],
        "violations": [lamp],
    }
    made = acting_as("hob").post("roadside-inspections", inspected)
    assert made.status_code == 201, made.content
    frozen_clock.move_to(NOON + 15 * 24 * HOUR)
    assert gaps_of("NL-12") == gaps_of("LR-42") == []
    frozen_clock.move_to(NOON + 16 * 24 * HOUR)
    for number in ("NL-12", "LR-42"):
        assert gaps_of(number) == [
            {
                "code": "gap_roadside_unanswered",
                "says": "The officer's report IL-0306-1 is not answered; the answer was due on Sat 21 Mar 2026.",
                "section": "49 CFR 396.9(d)(3)",
                "link": f"/api/v1/roadside-inspections/{made.json()['id']}",
            }
        ]


def test_identity_and_documents_lacking__a_gap_for_each() -> None:
    trailer = unit("LR-42")
    Unit.objects.filter(pk=trailer.pk).update(make="")
    Document.objects.filter(unit=trailer, kind="periodic_inspection").update(inspector="Nobody Known", program="self")
    Document.objects.filter(unit=trailer).exclude(kind="periodic_inspection").update(superseded_at=NOON)
    found = gaps_of("LR-42")
    assert [gap["code"] for gap in found[:2]] == ["gap_make_missing", "gap_inspector_evidence_missing"]
    assert {gap["code"] for gap in found[2:]} == {"gap_document_missing"}
    Document.objects.filter(unit=trailer).update(superseded_at=NOON)
    assert "gap_inspection_missing" in [gap["code"] for gap in gaps_of("LR-42")]


def test_command__lists_the_gaps_and_the_seed(frozen_clock: time_machine.Traveller) -> None:
    key = drive_again(frozen_clock, reviewed=False)
    out = StringIO()
    call_command("rehearse_audit", "--units", str(EVERY_UNIT), "--seed", "28", stdout=out)
    said = out.getvalue().splitlines()
    assert said[-1] == "1 gaps in 20 files; seed 28"
    assert sum(line.endswith(": no gaps") for line in said) == 19
    [gap] = [line for line in said if line.startswith("  gap, ")]
    assert gap.startswith("  gap, 49 CFR 396.13: ")
    assert gap.endswith(f" /api/v1/reports/{key}")


@pytest.mark.parametrize(
    "query", [{"units": "0"}, {"units": "51"}, {"seed": "-1"}, {"seed": "x"}, {"seed": "2147483648"}]
)
def test_number_that_is_none__400(query: dict[str, str]) -> None:
    answer = acting_as("lena").get("audit-rehearsals", **query)
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid_parameter")
    assert answer.json()["errors"][0]["parameter"] in query


def test_units_of_many_or_few__the_same_number_of_statements(django_assert_max_num_queries: Any) -> None:
    lena = acting_as("lena")
    with django_assert_max_num_queries(100) as few:
        lena.get("audit-rehearsals", units=2, seed=1)
    with django_assert_max_num_queries(100) as many:
        lena.get("audit-rehearsals", units=EVERY_UNIT, seed=1)
    assert len(few) == len(many)
