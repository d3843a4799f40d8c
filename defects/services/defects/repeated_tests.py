"""Repeating a test at an open defect: a named person's word, at an instant, that it passed or failed again."""

from datetime import datetime
from uuid import UUID

from common.clock import refuse_future
from common.errors import Conflict, Invalid, NotAllowed
from defects.enums import OPEN_DEFECT_STATES, Evidence
from defects.models import Defect, RepeatedTest
from defects.rules.certificates import word_counts
from defects.selectors.catalogue.catalogue import observer_of
from defects.selectors.defects.defects import evidence_of
from defects.selectors.defects.naming import faults_named
from defects.services.defects.evidence import last_found_at
from defects.services.defects.locked import catalogue_of, locked_defect_as_it_is, point_of, record_defect
from defects.transitions import REPEAT_TEST
from fleet.models import Person


def record_test(
    *, defect_id: UUID, passed: bool, note: str, tested_at: datetime, actor: Person, now: datetime
) -> Defect:
    """Note a test that the actor repeated; one that failed shows the fault anew. A fact, so no version is asked.

    NotAllowed `role_not_allowed`, `word_does_not_count` for who is not qualified to say that all is well there;
    Conflict `defect_not_open`, `test_shows_nothing` where something else is asked; Invalid `tested_before_found`,
    `instant_in_future`.
    """
    if REPEAT_TEST.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="repeat_test", roles=sorted(REPEAT_TEST))
    with locked_defect_as_it_is(defect_id=defect_id, actor=actor, now=now) as (work, defect):
        if defect.state not in OPEN_DEFECT_STATES:
            raise Conflict("defect_not_open", defect=defect.number, faults=faults_named([defect]), state=defect.state)
        evidence = evidence_of(defect, catalogue_of(work))
        if evidence is not Evidence.REPEATED_TEST:
            raise Conflict("test_shows_nothing", defect=defect.number, evidence=str(evidence))
        observer = observer_of(actor.current_roles, actor.scopes_on(work.day(tested_at)))(point_of(work, defect))
        if not word_counts(point_of(work, defect), observer):
            raise NotAllowed("word_does_not_count", person=actor.name)
        refuse_future(tested_at, now, "/tested_at")
        found_at = last_found_at(defect)
        if tested_at <= found_at:
            raise Invalid("tested_before_found", pointer="/tested_at", found_at=found_at)
        RepeatedTest.objects.create(
            defect=defect, person=actor, passed=passed, note=note, tested_at=tested_at, recorded_at=now
        )
        work.save(defect)
        record_defect(work, defect, "test_repeated", {"passed": passed, "note": note, "by": actor.name}, tested_at)
        return defect
