"""Judges the reports of a walk-around and sets on each what is stored of it: checks, meters, flags, looks."""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, replace
from datetime import datetime
from decimal import Decimal
from operator import attrgetter
from typing import Any
from uuid import UUID

from django.conf import settings

from common import messages
from common.api.instants import read_instant
from common.messages import Message
from defects.models import Report, Walkaround
from defects.rules.catalogue.observed import UnitFacts, assumed_axles
from defects.rules.walkarounds.assess import Assessment, assess_report, unassessed, without_unmeasured
from defects.rules.walkarounds.body import (
    CheckBody,
    CorrectionBody,
    FaultBody,
    LeftBody,
    LookBody,
    MeterBody,
    ReportBody,
    read_number,
)
from defects.rules.walkarounds.looks import Looks, look_over, together, unlooked
from defects.rules.walkarounds.verdicts import Circumstances, Flag, Verdict
from defects.selectors.catalogue.catalogue import facts_of_units
from defects.services.walkarounds.context import KnownDefects, WalkaroundContext, defects_of
from defects.services.walkarounds.corrections import to_measure
from fleet.enums import ReadingState, UnitKind
from fleet.models import MeterReading, Unit
from fleet.selectors.units.meters import meter_book
from fleet.services.units.field_meters import ShownMeter, judge_meters

Flagged = dict[str, object]
"""One thing a foreman must look at: `code`, `facts`, and `check` or `meter` (index) where it belongs to one."""

METER_OF_UNKNOWN = "meter_of_unknown_unit"
"""What is flagged of a meter on a unit that nobody knows."""

LEFT_WITHOUT_UNIT = "left_without_unit"
"""What is flagged of how a unit that nobody knows was left."""


def set_judged(report: Report, assessment: Assessment, looks: Looks) -> None:
    """Fill an unsaved report with how it was judged, every check with its verdict beside it."""
    report.checks = [_check(verdict) for verdict in assessment.judged]
    report.looked_at = [{"leg": look.leg, "at": look.spelled, "counts": counts} for look, counts in looks.legs]
    report.places_required, report.places_covered = looks.required, looks.covered
    report.left_open = [asdict(row) for row in looks.left]
    report.review_due = report.unit is not None and assessment.review_due


def _check(verdict: Verdict) -> dict[str, object]:
    """One check as stored, schema 1: what was given without what is empty, and what was judged."""
    reported = verdict.check
    stored: dict[str, object] = {"point": reported.point, "answer": reported.answer}
    stored |= {name: value for name, value in zip(_REPORTED, _reported(reported), strict=True) if value}
    if reported.heard_at is not None:
        stored["heard_at"] = reported.heard_at.isoformat()
    if reported.correction is not None:
        done = reported.correction
        correction = {"corrected_what": done.what, "corrected_by": done.by, "corrected_photo": done.photo}
        stored |= {name: value for name, value in correction.items() if value}
    judged: Mapping[str, object] = {
        "outcome": str(verdict.outcome),
        "rule": verdict.rule_id,
        "severity": None if verdict.severity is None else str(verdict.severity),
        "bars": str(verdict.bars),
        "finding": verdict.finding,
        "limit": verdict.limit_id,
        "limit_value": None if verdict.limit_value is None else str(verdict.limit_value),
        "source": None if verdict.source is None else str(verdict.source),
    }
    stored["verdict"] = {name: value for name, value in judged.items() if value is not None}
    return stored


_REPORTED = ("place", "value", "unit_of_measure", "finding", "note", "reason", "listed", "photos", "heard_from")
"""What stands beside a stored answer where it was given."""
_reported = attrgetter(*_REPORTED)


def given_of(report: Report) -> ReportBody:
    """What was given on a unit that nobody knows, out of the stored report.

    Its meters and how it was left stand in what is flagged.
    """
    left = (item["facts"].get("left") for item in report.flags if item["code"] == LEFT_WITHOUT_UNIT)
    meters = (item["facts"] for item in report.flags if item["code"] == METER_OF_UNKNOWN)
    return ReportBody.model_construct(
        unit=report.given_unit,
        checks=[given_check_of(check) for check in report.checks],
        faults=[FaultBody.model_construct(**{**fault, "heard_at": _heard_at(fault)}) for fault in report.faults],
        meters=[MeterBody.model_construct(meter=meter["meter"], shown=meter["shown"]) for meter in meters],
        looked_at=[LookBody.model_construct(leg=look["leg"], at=look["at"]) for look in report.looked_at],
        left=next((LeftBody.model_validate_json(json.dumps(how)) for how in left if how), None),
    )


def given_check_of(check: Mapping[str, Any]) -> CheckBody:
    """What was given in a stored check."""
    done = {name: check.get(f"corrected_{name}", "") for name in ("what", "by", "photo")}
    return CheckBody.model_construct(
        point=check["point"],
        answer=check["answer"],
        correction=CorrectionBody.model_construct(**done) if any(done.values()) else None,
        heard_at=_heard_at(check),
        **{name: check[name] for name in _REPORTED if name in check},
    )


def _heard_at(stored: Mapping[str, Any]) -> datetime | None:
    return read_instant(stored.get("heard_at"))


LARGEST = Decimal(10) ** 7
"""Our own default: ten million miles or hours are on no meter of a vehicle."""

TIME_UNKNOWN = "time_unknown"


_Shown = tuple[Report, int, MeterBody]
"""One meter as shown, with its report and its position in it."""


def _meters(
    walkaround: Walkaround, reported: Iterable[tuple[Report, ReportBody]], *, time_known: bool
) -> tuple[dict[int, list[Flagged]], list[MeterReading]]:
    """What is flagged about the readings, by the position of the report; and the unsaved rows that keep them.

    A reading of no known unit, or that is no number, stands in what is flagged alone. While it is not known when they
    were read, all are set aside.
    """
    flags: dict[int, list[Flagged]] = defaultdict(list)
    readable: list[tuple[_Shown, ShownMeter]] = []
    shown = [(report, index, meter) for report, body in reported for index, meter in enumerate(body.meters)]
    for reading in shown:
        report, _, meter = reading
        number = read_number(meter.shown)
        if report.unit is None:
            flags[report.position].append(_flag_of(reading, METER_OF_UNKNOWN))
        elif number is None:
            flags[report.position].append(_flag_of(reading, "value_unreadable"))
        elif number >= LARGEST:
            flags[report.position].append(_flag_of(reading, "implausible"))
        else:
            tenths = number.quantize(Decimal("0.1"))
            readable.append((reading, ShownMeter(report.unit, meter.meter, tenths)))
    if not readable:
        return flags, []
    judged = judge_meters(
        [meter for _, meter in readable],
        meter_book({meter.unit.pk for _, meter in readable}, walkaround.performed_at),
        read_at=walkaround.performed_at,
        walkaround_id=walkaround.pk,
        actor=walkaround.person,
        now=walkaround.received_at,
    )
    for (reading, _), (row, judged_flag) in zip(readable, judged, strict=True):
        flag = judged_flag
        if row is not None and not flag and not time_known:  # kept out of its series
            row.state, row.flag = ReadingState.SET_ASIDE, TIME_UNKNOWN
            flag = TIME_UNKNOWN
        if flag:
            flags[reading[0].position].append(_flag_of(reading, flag))
    return flags, [row for row, _ in judged if row is not None]


def _flag_of(reading: _Shown, code: str) -> Flagged:
    _, index, meter = reading
    return {"code": code, "facts": {"meter": meter.meter, "shown": meter.shown}, "meter": index}


TO_SIGN = "walk_to_sign"
"""The sentence under which legs are signed for; `/walk` gives it."""


def judge_reports(
    walkaround: Walkaround,
    reported: Sequence[tuple[Report, ReportBody]],
    context: WalkaroundContext,
    under: Circumstances,
) -> tuple[list[tuple[Report, Assessment]], KnownDefects, list[MeterReading]]:
    """Judge what was given and fill the unsaved reports with it; what they may touch, and their unsaved meters."""
    units = context.units.values()
    of_meters, meters = _meters(walkaround, reported, time_known=under.time_known)
    facts = facts_of_units((unit.pk for unit in units), at=walkaround.performed_at)
    assessed = [(report, body, _assess(report.unit, body, facts, under)) for report, body in reported]
    known = defects_of(units, [assessment for _, _, assessment in assessed], walkaround.performed_at)
    walk = _as_listed(under, walkaround, units)
    judged = []
    for report, body, first in assessed:
        unit = report.unit
        if unit is None:
            assessment, looks = first, unlooked(body.looked_at, walk)
        else:
            # a certificate of what was measured needs the value after
            assessment = without_unmeasured(first, to_measure(known, unit, under.catalogues[0]))
            faults = known.one_by_one.get(unit.pk, set())
            walked = facts[unit.pk]
            if not walked.axles:  # what the walk listed is asked for, as of a unit whose axles are known
                walked = replace(walked, axles=assumed_axles(walked.kind))
            looks = look_over(body.looked_at, assessment.judged, walked, walk, faults)
        report.flags += [{**_flag(flag), "check": index} for index, flag in assessment.flags]
        report.flags += [*map(_flag, looks.flags), *of_meters.get(report.position, [])]
        set_judged(report, assessment, looks)
        judged.append((report, assessment))
    return judged, known, meters


def says_what_a_leg_is(shown: str) -> bool:
    """Whether the sentence of the legs stood above a signature, in a language of ours, however it was broken."""
    read = _plain(shown)
    return any(_plain(messages.render(Message(TO_SIGN), language)) in read for language, _ in settings.LANGUAGES)


def _assess(unit: Unit | None, body: ReportBody, facts: Mapping[UUID, UnitFacts], under: Circumstances) -> Assessment:
    return unassessed(body) if unit is None else assess_report(body, facts[unit.pk], under)


def _as_listed(under: Circumstances, walkaround: Walkaround, units: Iterable[Unit]) -> Circumstances:
    """What legs are counted under; `units` are all those on the walk-around that are known."""
    road_units = {unit.pk for unit in units if unit.kind != UnitKind.COOLING_UNIT}
    return replace(
        under,
        conditions=replace(together(under.conditions, len(road_units)), walk_kind=walkaround.kind),
        walked=(walkaround.started_at, walkaround.finished_at),
        signed=says_what_a_leg_is(walkaround.signature.shown),
    )


def _flag(flag: Flag) -> Flagged:
    return {"code": str(flag.code), "facts": dict(flag.facts)}


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
