"""The tables that can be taken in, column by column."""

from collections.abc import Mapping
from typing import Annotated

from django.utils.translation import gettext_lazy as _

from common.api.values import Choice, Text
from fleet.api.cooling.bodies import CoolingReadingBody
from fleet.api.documents.documents import DocumentBody
from fleet.api.imports.columns import Kind, TableForm, columns_of, kinds_in
from fleet.api.imports.help import (
    AXLE_HELP,
    COOLING_READING_HELP,
    DOCUMENT_HELP,
    MOUNTING_HELP,
    PERSON_HELP,
    READING_HELP,
    ROLE_HELP,
    UNIT_HELP,
)
from fleet.api.people.bodies import PersonBody, RoleBody
from fleet.api.requests.roles import ADMINISTRATOR, OFFICE, SHOP
from fleet.api.units.bodies import AxleBody, CoolingUnitBody, TractorBody, TrailerBody
from fleet.api.units.meters import ReadingBody
from fleet.api.units.mountings import MountingBody
from fleet.api.units.short import UnitRef
from fleet.enums import Role, TemperatureScale, UnitKind
from fleet.rules.documents.loading import load_document_kinds
from fleet.services.imports.run import Table

LONGEST_NAME = 250


def _kinds() -> Mapping[Table, Mapping[str, Kind]]:
    person = Annotated[str, Text(LONGEST_NAME)]
    units = {**kinds_in(TractorBody), **kinds_in(TrailerBody), **kinds_in(CoolingUnitBody)}
    document_kind = Annotated[str, Choice(sorted(load_document_kinds()))]
    return {
        Table.UNITS: {**units, "kind": UnitKind},
        Table.AXLES: {**kinds_in(AxleBody), "unit": UnitRef},
        Table.DOCUMENTS: {**kinds_in(DocumentBody), "kind": document_kind, "person": person},
        Table.PEOPLE: kinds_in(PersonBody),
        Table.METER_READINGS: kinds_in(ReadingBody),
        Table.COOLING_READINGS: {
            **kinds_in(CoolingReadingBody),
            "unit": UnitRef,
            "unit_of_measure": TemperatureScale,
            "alarms": Annotated[str, Text(420)],
        },
        Table.ROLES: {**kinds_in(RoleBody), "person": person},
        Table.MOUNTINGS: kinds_in(MountingBody),
    }


def forms() -> Mapping[Table, TableForm]:
    return {form.table: form for form in _FORMS}


def _made() -> tuple[TableForm, ...]:
    kinds = _kinds()
    return (
        TableForm(
            Table.UNITS,
            OFFICE,
            columns_of(
                kinds[Table.UNITS],
                UNIT_HELP,
                {
                    "kind": "tractor",
                    "number": "NL-19",
                    "vin": "BZTTKAA35TA016019",
                    "make": "Ninefold pattern",
                    "model_year": "2024",
                    "tire_size": "295/75R22.5",
                    "plate": "0012345",
                    "plate_state": "IL",
                    "in_control_since": "2024-05-02",
                    "steering_wheel_diameter_in": "20",
                    "steering_assist": "power",
                    "fuel_tank_gal": "120.0",
                },
                needed=frozenset({"number"}),
                exact=frozenset({"vin", "serial", "plate"}),
            ),
            _("One row for each unit. Cells that differ change the unit on record."),
        ),
        TableForm(
            Table.AXLES,
            OFFICE,
            columns_of(
                kinds[Table.AXLES],
                AXLE_HELP,
                {
                    "unit": "NL-19",
                    "number": "1",
                    "role": "steer",
                    "dual": "false",
                    "brake_type": "drum",
                    "chamber_type": "20",
                    "stroke_class": "standard",
                    "tire_size": "295/75R22.5",
                    "target_psi": "110",
                },
                needed=frozenset({"unit", "number", "role", "dual"}),
            ),
            _("One row for each axle. A unit's axles are imported together or not at all."),
        ),
        TableForm(
            Table.DOCUMENTS,
            OFFICE,
            columns_of(
                kinds[Table.DOCUMENTS],
                DOCUMENT_HELP,
                {
                    "kind": "registration",
                    "unit": "NL-19",
                    "us_state": "IL",
                    "number": "0012345",
                    "issuer": "Secretary of State",
                    "starts_on": "2025-07-01",
                    "ends_on": "2026-06-30",
                },
                needed=frozenset({"kind"}),
                exact=frozenset({"number"}),
            ),
            _("One row for each current document. The next of its kind supersedes the one on record."),
        ),
        TableForm(
            Table.PEOPLE,
            ADMINISTRATOR,
            columns_of(
                kinds[Table.PEOPLE],
                PERSON_HELP,
                {
                    "name": "Nils Example",
                    "username": "nils.example",
                    "title": "driver",
                    "phone": "+1 555 0100",
                    "language": "en",
                },
                needed=frozenset({"name"}),
                exact=frozenset({"phone"}),
            ),
            _("One row for each person. Roles have their own table."),
        ),
        TableForm(
            Table.METER_READINGS,
            OFFICE | {Role.FOREMAN},
            columns_of(
                kinds[Table.METER_READINGS],
                READING_HELP,
                {"unit": "NL-19", "meter": "odometer_mi", "shown": "120345.6", "read_at": "2026-03-02T06:10:00-06:00"},
                needed=frozenset({"unit", "meter", "shown", "read_at"}),
            ),
            _("One row for each reading. Recorded readings never change."),
        ),
        TableForm(
            Table.COOLING_READINGS,
            OFFICE | {Role.DISPATCH, Role.FOREMAN},
            columns_of(
                kinds[Table.COOLING_READINGS],
                COOLING_READING_HELP,
                {
                    "unit": "CU-49",
                    "read_at": "2026-03-02T06:10:00-06:00",
                    "unit_of_measure": "degF",
                    "mode": "continuous",
                    "setpoint": "34.0",
                    "return_air": "36.2",
                    "supply_air": "31.8",
                    "engine_h": "4120.5",
                    "fuel_gal": "37.5",
                },
                needed=frozenset({"unit", "read_at", "unit_of_measure"}),
            ),
            _("One row for each reading of a recorder. Recorded readings never change."),
        ),
        TableForm(
            Table.ROLES,
            ADMINISTRATOR,
            columns_of(
                kinds[Table.ROLES],
                ROLE_HELP,
                {"person": "nils.example", "role": "driver"},
                needed=frozenset({"person", "role"}),
            ),
            _("One row for each role. Existing roles stay; none is ended. Nobody imports their own."),
        ),
        TableForm(
            Table.MOUNTINGS,
            SHOP,
            columns_of(
                kinds[Table.MOUNTINGS],
                MOUNTING_HELP,
                {"trailer": "LR-49", "cooling_unit": "CU-49", "started_at": "2026-03-02T06:10:00-06:00"},
                needed=frozenset({"trailer", "cooling_unit", "started_at"}),
            ),
            _("One row for each cooling unit on a trailer. One already mounted at that time is unchanged."),
        ),
    )


_FORMS = _made()
