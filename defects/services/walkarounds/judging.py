"""The reports of a walk-around judged against their units: what each answer comes to, and what was looked at."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from django.conf import settings

from common import messages
from common.messages import Message
from defects.models import Report, Walkaround
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.facts import UnitFacts
from defects.rules.walkarounds.assess import Assessment, assess_report, unassessed, without_unmeasured
from defects.rules.walkarounds.body import ReportBody
from defects.rules.walkarounds.flags import Flag
from defects.rules.walkarounds.judge import Circumstances
from defects.rules.walkarounds.looks import Walked, look_over, together, unlooked
from defects.selectors.catalogue.unit_facts import facts_of_units
from defects.services.walkarounds.corrections import to_measure
from defects.services.walkarounds.meters import store_meters
from defects.services.walkarounds.reports import Flagged, set_judged
from defects.services.walkarounds.scene import KnownDefects, Scene, defects_of
from fleet.enums import UnitKind
from fleet.models import Unit

TO_SIGN = "walk_to_sign"
"""The sentence under which legs are signed for; `/walk` gives it."""


def judge_reports(
    walkaround: Walkaround,
    given: Sequence[tuple[Report, ReportBody]],
    scene: Scene,
    under: Circumstances,
    named: Catalogue | None,
) -> tuple[list[tuple[Report, Assessment]], KnownDefects]:
    """Judge what was given, fill the unsaved reports with it, and store their meters; and what they may touch.

    `named` is the catalogue by which the phone listed the legs.
    """
    units = scene.units.values()
    of_meters = store_meters(walkaround, given, time_known=under.time_known)
    facts = facts_of_units(units)
    assessed = [(report, body, _assess(report.unit, body, facts, under)) for report, body in given]
    known = defects_of(units, [assessment for _, _, assessment in assessed], walkaround.performed_at)
    walk = _walked(walkaround, under, named, units)
    judged = []
    for report, body, first in assessed:
        unit = report.unit
        if unit is None:
            assessment, looks = first, unlooked(body.looked_at, walk)
        else:
            # a certificate of what was measured needs the value after
            assessment = without_unmeasured(first, to_measure(known, unit, under.catalogues[0]))
            faults = known.one_by_one.get(unit.pk, set())
            looks = look_over(body.looked_at, assessment.judged, facts[unit.pk], walk, faults)
        report.queried += [{**_flag(query), "check": index} for index, query in assessment.queries]
        report.queried += [*map(_flag, looks.queries), *of_meters.get(report.position, [])]
        set_judged(report, assessment, looks)
        judged.append((report, assessment))
    return judged, known


def says_what_a_leg_is(shown: str) -> bool:
    """Whether the sentence of the legs stood above a signature, in a language of ours, however it was broken."""
    read = _plain(shown)
    return any(_plain(messages.render(Message(TO_SIGN), language)) in read for language, _ in settings.LANGUAGES)


def _assess(unit: Unit | None, body: ReportBody, facts: Mapping[UUID, UnitFacts], under: Circumstances) -> Assessment:
    return unassessed(body) if unit is None else assess_report(body, facts[unit.pk], under)


def _walked(walkaround: Walkaround, under: Circumstances, named: Catalogue | None, units: Iterable[Unit]) -> Walked:
    """What the walk-around itself says of the looking; `units` are all those on it that are known."""
    road_units = {unit.pk for unit in units if unit.kind != UnitKind.COOLING_UNIT}
    return Walked(
        conditions=replace(together(under.conditions, len(road_units)), walk_kind=walkaround.kind),
        on=under.on,
        began=walkaround.started_at,
        ended=walkaround.finished_at,
        time_known=under.time_known,
        in_force=under.catalogues[0],
        named=named,
        signed=says_what_a_leg_is(walkaround.signature.shown),
    )


def _flag(query: Flag) -> Flagged:
    return {"code": str(query.code), "facts": dict(query.facts)}


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
