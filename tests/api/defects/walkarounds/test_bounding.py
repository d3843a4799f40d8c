"""A walk-around of thousands of findings costs no more than one of four hundred, and nothing in it is lost."""

from datetime import UTC
from typing import Any

import pytest

from common.api.signed_reading import read_signed
from defects.api.walkarounds import views
from defects.api.walkarounds.views import submission_of
from defects.models import Defect, SentBody
from defects.rules.walkarounds.body import MAX_CHECKS, MAX_REPORTS, Submission, WalkaroundBody
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.walks import body, check, put, stroke


def read(reports: list[dict[str, Any]]) -> Submission:
    found = read_signed(WalkaroundBody, body(reports, finished_at=NOON), lambda: UTC)
    return submission_of(found, "0" * 64, "")


def defects(count: int) -> list[dict[str, Any]]:
    return [check(f"p{number}", answer="defect") for number in range(count)]


@pytest.mark.parametrize("given", [defects(MAX_CHECKS), [stroke(f"axle-{n}-left", "1", "fine") for n in range(400)]])
def test_as_many_findings_as_fit_the_form__four_hundred_stand_one_by_one(given: list[dict[str, Any]]) -> None:
    submission = read([{"unit": f"U-{number}", "checks": given} for number in range(MAX_REPORTS)])
    stand = sum(len(report.checks) for report in submission.body.reports)
    assert (stand, [len(report.faults) for report in submission.body.reports]) == (
        views.MOST_FOUND,
        [0] + [1] * (MAX_REPORTS - 1),
    )


def test_faults_in_own_words__counted_with_them() -> None:
    own = {"checks": defects(350), "faults": [{"text": "x"}] * 40}
    first, second = read([{"unit": "U-1", **own}, {"unit": "U-2", **own}]).body.reports
    assert (len(first.checks), len(first.faults)) == (350, 40)
    assert (len(second.checks), len(second.faults)) == (10, 2)


def test_every_point_answered_fine__nothing_is_cut() -> None:
    submission = read([{"unit": "U-1", "checks": [check(f"p{number}") for number in range(MAX_CHECKS)]}] * MAX_REPORTS)
    assert {(len(report.checks), len(report.faults)) for report in submission.body.reports} == {(MAX_CHECKS, 0)}
    assert submission.flags == ()


def test_beyond__one_fault_to_grade_in_the_words_sent_and_all_of_it_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "MOST_FOUND", 1)
    checks = [check("lamps.trailer.turn", side, "defect") for side in ("left", "right")]
    receipt = put(acting_as("iris"), body([{"unit": "LR-45", "checks": checks}], finished_at=NOON))

    beyond = Defect.objects.get(point="")
    assert (beyond.graded, '"place":"right"' in beyond.text) == (False, True)
    assert [query["code"] for query in receipt["flags"]] == ["list_cut"]
    assert "lamps.trailer.turn" in SentBody.objects.get().text
