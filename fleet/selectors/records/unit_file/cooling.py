"""The section on what a cooling unit was read to show; a recorder's readings are only in the records."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.enums import ReadingSource
from fleet.messages.cooling import FLAGS
from fleet.messages.units import RUNNING_MODES
from fleet.models import CoolingReading
from fleet.rules.cooling.readings import COLUMNS
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section


def read_readings(scope: FileScope) -> Iterator[Record]:
    """Every reading, oldest first, those that were set aside too."""
    rows = CoolingReading.objects.filter(scope.within("read_at"), unit=scope.unit).select_related("recorded_by")
    for row in rows.order_by("read_at", "source", "pk").iterator(CHUNK):
        yield {
            "id": row.pk,
            "at": row.read_at,
            "source": row.source,
            **{name: getattr(row, name) for name in COLUMNS[1:]},
            "state": row.state,
            "flag": row.flag,
            "walkaround": row.walkaround_id,
            "recorded_by": person_record(row.recorded_by),
        }


def reading_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """One line of a reading that somebody read, or that is flagged."""
    if record["source"] == ReadingSource.RECORDER and not record["flag"]:
        return
    air = [
        f"{title} {record[name]} °F"
        for name, title in (
            ("setpoint_f", _("set to")),
            ("return_air_f", _("return")),
            ("supply_air_f", _("supply")),
            ("box_f", _("box")),
            ("product_f", _("product")),
            ("ambient_f", _("outside")),
        )
        if record[name] is not None
    ]
    mode = words.label(RUNNING_MODES, record["mode"]) if record["mode"] else ""
    meters = [
        f"{record[name]} {unit}"
        for name, unit in (("engine_h", "h"), ("standby_h", "h"), ("fuel_gal", "gal"))
        if record[name] is not None
    ]
    flag = words.label(FLAGS, record["flag"]) if record["flag"] else ""
    shown = ", ".join(filter(None, [mode, *air]))
    yield words.instant(record["at"]), shown, ", ".join(meters), flag, words.person(record["recorded_by"])


READINGS = Section(
    name="cooling_readings",
    place=165,
    title=gettext_lazy("Cooling readings"),
    empty=gettext_lazy("No reading of the cooling unit is recorded in these days."),
    note=gettext_lazy("Readings of recorders without a flag stand in the records of this file alone."),
    read=read_readings,
    columns=(
        Column(gettext_lazy("When"), 0.18),
        Column(gettext_lazy("Shown"), 0.32),
        Column(gettext_lazy("Hours and fuel"), 0.16),
        Column(gettext_lazy("Flagged"), 0.18),
        Column(gettext_lazy("Recorded by"), 0.16),
    ),
    rows=reading_rows,
)
