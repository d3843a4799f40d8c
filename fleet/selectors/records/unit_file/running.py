"""The sections on how a unit was used: what it ran together with, and what its meters showed."""

from collections.abc import Iterator, Sequence

from django.db.models import Prefetch, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.enums import CouplingState, MountingState
from fleet.messages.units import LOCATIONS, METER_KINDS, RUNNING_MODES
from fleet.models import Coupling, CouplingMember, MeterReading, MeterReplacement, Mounting, Whereabouts
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record, unit_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section


def read_combinations(scope: FileScope) -> Iterator[Record]:
    """Couplings, then mountings, oldest first."""
    members = Prefetch("members", CouplingMember.objects.select_related("unit").order_by("unit__kind", "pk"))
    couplings = (
        Coupling.objects.filter(scope.running("started_at", "ended_at"), members__unit=scope.unit)
        .select_related("recorded_by")
        .prefetch_related(members)
        .order_by("started_at", "pk")
    )
    for coupling in couplings.iterator(CHUNK):
        yield {
            "id": coupling.pk,
            "how": CouplingState.COUPLED,
            "units": [unit_record(member.unit) for member in coupling.members.all()],
            "started_at": coupling.started_at,
            "ended_at": coupling.ended_at,
            "took_over": coupling.took_over,
            "taken_over": coupling.taken_over,
            "recorded_by": person_record(coupling.recorded_by),
        }
    key = scope.unit.pk
    mountings = Mounting.objects.filter(Q(trailer_id=key) | Q(cooling_unit_id=key)).select_related(
        "recorded_by", "trailer__unit", "cooling_unit__unit"
    )
    for mounting in mountings.order_by("span", "pk").iterator(CHUNK):
        yield {
            "id": mounting.pk,
            "how": MountingState.MOUNTED,
            "units": [unit_record(mounting.trailer.unit), unit_record(mounting.cooling_unit.unit)],
            "started_at": mounting.span.lower,
            "ended_at": mounting.span.upper,
            "took_over": False,
            "taken_over": False,
            "recorded_by": person_record(mounting.recorded_by),
        }


def combination_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    together = " + ".join(unit["number"] for unit in record["units"])
    how = _("mounted") if record["how"] == MountingState.MOUNTED else _("coupled")
    if record["took_over"] or record["taken_over"]:
        how = f"{how}\n{_('taken over by a driver')}"
    end = words.instant(record["ended_at"]) or _("until now")
    yield together, how, words.instant(record["started_at"]), end, words.person(record["recorded_by"])


def read_whereabouts(scope: FileScope) -> Iterator[Record]:
    """Where the unit was and how it was left there, oldest first."""
    rows = Whereabouts.objects.filter(scope.within("since"), unit=scope.unit).select_related("site", "recorded_by")
    for row in rows.order_by("since", "pk").iterator(CHUNK):
        yield {
            "id": row.pk,
            "since": row.since,
            "location": row.location,
            "site": None if row.site is None else row.site.code,
            "address": row.address,
            "legs_down": row.legs_down,
            "doors_closed": row.doors_closed,
            "mode": row.mode,
            "fuel_gal": row.fuel_gal,
            "seal": row.seal,
            "note": row.note,
            "walkaround": row.walkaround_id,
            "recorded_by": person_record(row.recorded_by),
        }


def whereabouts_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    where = " ".join(filter(None, (words.label(LOCATIONS, record["location"]), record["site"], record["address"])))
    left = [
        {None: "", True: _("legs down"), False: _("legs not down")}[record["legs_down"]],
        {None: "", True: _("doors closed"), False: _("doors open")}[record["doors_closed"]],
        words.label(RUNNING_MODES, record["mode"]) if record["mode"] else "",
        "" if record["fuel_gal"] is None else f"{record['fuel_gal']} gal",
        record["seal"],
        record["note"],
    ]
    yield words.instant(record["since"]), where, ", ".join(filter(None, left)), words.person(record["recorded_by"])


def read_meters(scope: FileScope) -> Iterator[Record]:
    """Replacements of meters, then every reading, those that were set aside with their reason."""
    replaced = MeterReplacement.objects.filter(unit=scope.unit).select_related("recorded_by")
    for row in replaced.order_by("replaced_at", "pk").iterator(CHUNK):
        yield {
            "id": row.pk,
            "what": "replacement",
            "meter": row.meter,
            "at": row.replaced_at,
            "offset": row.offset,
            "reason": row.reason,
            "recorded_by": person_record(row.recorded_by),
        }
    readings = MeterReading.objects.filter(scope.within("read_at"), unit=scope.unit).select_related("recorded_by")
    for reading in readings.order_by("meter", "read_at", "pk").iterator(CHUNK):
        yield {
            "id": reading.pk,
            "what": "reading",
            "meter": reading.meter,
            "at": reading.read_at,
            "shown": reading.shown,
            "total": reading.total,
            "state": reading.state,
            "flag": reading.flag,
            "walkaround": reading.walkaround_id,
            "recorded_by": person_record(reading.recorded_by),
        }


def meter_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """When, what it showed, and the true total."""
    meter, at = words.label(METER_KINDS, record["meter"]), words.instant(record["at"])
    if record["what"] == "replacement":
        shown, total = _("superseded: {reason}").format(reason=record["reason"]), f"+ {record['offset']}"
    else:
        aside = _("set aside") if record["state"] == "set_aside" else ""
        shown, total = record["shown"], aside or record["total"]
    yield at, meter, shown, total, words.person(record["recorded_by"])


COMBINATIONS = Section(
    name="combinations",
    place=150,
    title=gettext_lazy("Combinations"),
    empty=gettext_lazy("No coupling or mounting is recorded in these days."),
    read=read_combinations,
    columns=(
        Column(gettext_lazy("Units"), 0.27),
        Column(gettext_lazy("How"), 0.17),
        Column(gettext_lazy("From"), 0.19),
        Column(gettext_lazy("To"), 0.19),
        Column(gettext_lazy("Recorded by"), 0.18),
    ),
    rows=combination_rows,
)
WHEREABOUTS = Section(
    name="whereabouts",
    place=155,
    title=gettext_lazy("Whereabouts"),
    empty=gettext_lazy("Nothing is recorded of where the unit was in these days."),
    read=read_whereabouts,
    columns=(
        Column(gettext_lazy("From"), 0.2),
        Column(gettext_lazy("Where"), 0.3),
        Column(gettext_lazy("How it was left"), 0.3),
        Column(gettext_lazy("Recorded by"), 0.2),
    ),
    rows=whereabouts_rows,
)
METERS = Section(
    name="meters",
    place=160,
    title=gettext_lazy("Meter readings"),
    empty=gettext_lazy("No meter reading is recorded in these days."),
    read=read_meters,
    columns=(
        Column(gettext_lazy("When"), 0.22),
        Column(gettext_lazy("Meter"), 0.2),
        Column(gettext_lazy("Shown"), 0.22),
        Column(gettext_lazy("True total"), 0.16),
        Column(gettext_lazy("Recorded by"), 0.2),
    ),
    rows=meter_rows,
)
