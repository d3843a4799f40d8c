"""The section of officers' inspections with their violations, orders and the carrier's answer (396.9)."""

from collections.abc import Iterator, Sequence

from django.db.models import Prefetch
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from defects.enums import HoldKind
from defects.models import Hold, RoadsideInspection, RoadsideViolation
from defects.selectors.defects.naming import names_of_defect
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record, signature_record, unit_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section


def read(scope: FileScope) -> Iterator[Record]:
    """Every officer's report that names the unit, with all its lines: the answer is to the whole of it."""
    lines = RoadsideViolation.objects.select_related("unit", "defect").order_by("position")
    orders = Hold.objects.filter(kind=HoldKind.OFFICER).select_related("unit").order_by("number")
    inspections = (
        RoadsideInspection.objects.filter(scope.within("inspected_at"), units=scope.unit)
        .select_related("recorded_by", "answer_signature__signer", "answer_signature__token_owner")
        .prefetch_related("units", Prefetch("violations", lines), Prefetch("holds", orders))
    )
    for row in inspections.order_by("inspected_at", "pk").iterator(CHUNK):
        yield {
            "id": row.pk,
            "report_number": row.report_number,
            "inspected_at": row.inspected_at,
            "officer": row.officer,
            "us_state": row.us_state,
            "level": row.level,
            "units": [unit_record(unit) for unit in sorted(row.units.all(), key=lambda unit: unit.pk)],
            "is_clean": row.is_clean,
            "received_at": row.received_at,
            "recorded_by": person_record(row.recorded_by),
            "violations": [
                {
                    "position": line.position,
                    "unit": unit_record(line.unit),
                    "defect": line.defect.number,
                    "what": names_of_defect(line.defect),
                    "section": line.section,
                    "text": line.text,
                    "out_of_service": line.out_of_service,
                }
                for line in row.violations.all()
            ],
            "orders": [
                {"hold": hold.number, "unit": unit_record(hold.unit), "lifted_at": hold.lifted_at}
                for hold in row.holds.all()
            ],
            "answer_due_on": row.answer_due_on,
            "answered_at": row.answered_at,
            "answer_title": row.answer_title,
            "answer_signature": signature_record(row.answer_signature),
        }


def rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """The inspection, what was found, and the answer with its due day."""
    report = f"{record['report_number']}\n{words.instant(record['inspected_at'])}"
    officer = f"{record['officer']}, {record['us_state']}\n{_('level {level}').format(level=record['level'])}"
    found = [_("clean: no violation")] if record["is_clean"] else []
    for line in record["violations"]:
        order = f" ({_('out of service')})" if line["out_of_service"] else ""
        said = f"{line['unit']['number']}: {words.either(line['what'])}"
        found.append(f"{' '.join(filter(None, (line['section'], said)))}{order}")
    yield report, officer, "\n".join(found), _answer(record, words)


def _answer(record: Record, words: Words) -> str:
    if record["is_clean"]:
        return _("none pending")
    due = _("due {day}").format(day=record["answer_due_on"])
    if record["answered_at"] is None:
        return f"{due}\n{_('not answered')}"
    return f"{words.signature(record['answer_signature'])}\n{record['answer_title']}\n{due}"


ROADSIDE_INSPECTIONS = Section(
    name="roadside_inspections",
    place=100,
    title=gettext_lazy("Roadside inspections and answers"),
    source="49 CFR 396.9",
    empty=gettext_lazy("No roadside inspection is recorded in these days."),
    read=read,
    columns=(
        Column(gettext_lazy("Report"), 0.2),
        Column(gettext_lazy("Officer"), 0.2),
        Column(gettext_lazy("Violations"), 0.34),
        Column(gettext_lazy("Answer"), 0.26),
    ),
    rows=rows,
)
