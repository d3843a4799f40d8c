"""The tables that can be taken in, column by column."""

from collections.abc import Mapping
from typing import Annotated

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from common.api.values import Choice, Text
from fleet.api.cooling.bodies import CoolingReadingBody
from fleet.api.documents.documents import DocumentBody
from fleet.api.imports.columns import Kind, TableForm, columns_of, kinds_in
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

_UNIT_HELP: dict[str, Promise] = {
    "kind": _("tractor, trailer or cooling_unit; needed for a new unit"),
    "number": _("the unit's number, as painted on it"),
    "owner": _("owner; empty for the carrier's own units"),
    "vin": _("vehicle identification number of a tractor or trailer, 17 characters"),
    "serial": _("serial number"),
    "make": _("maker"),
    "model_year": _("model year, four digits"),
    "tire_size": _("tire size of a tractor or trailer"),
    "plate": _("licence plate"),
    "plate_state": _("State of the plate, two capital letters"),
    "home_site": _("code of the site where it belongs"),
    "in_control_since": _("first day under the carrier's control, such as 2026-03-02"),
    "steering_wheel_diameter_in": _("tractor: diameter of the steering wheel in inches"),
    "steering_assist": _("tractor: power or manual"),
    "governor_cut_in_psi": _("tractor: lowest cut-in of the governor that the maker gives, in psi"),
    "governor_cut_out_psi": _("tractor: highest cut-out of the governor that the maker gives, in psi"),
    "fuel_tank_gal": _("tractor: fuel tank in gallons"),
    "gross_rating_lb": _("tractor: gross rating in pounds"),
    "fifth_wheel_to_rear_axle_in": _("tractor: from where the kingpin locks to the rearmost axle, in inches"),
    "length_ft": _("trailer: length in feet"),
    "slider_pins": _("trailer: number of slider pins"),
    "floor_drains": _("trailer: number of floor drains"),
    "empty_weight_lb": _("trailer: empty weight in pounds"),
    "kingpin_to_rear_axle_in": _("trailer: from the kingpin to the rearmost axle as the tandem stands, in inches"),
    "slider_hole_in": _("trailer: from one hole of the slider to the next, in inches"),
    "tank_gal": _("cooling unit: tank in gallons"),
    "unusable_gal": _("cooling unit: gallons that cannot be drawn from the tank"),
    "burn_gal_per_h": _("cooling unit: gallons burnt in an hour"),
}
_AXLE_HELP: dict[str, Promise] = {
    "unit": _("unit, as NL-11 or QX-9003@Gravelspoon Foods"),
    "number": _("number of the axle, counted from the front of the unit"),
    "role": _("steer, drive or trailer"),
    "dual": _("true for two tires on each side"),
    "brake_type": _("drum or disc"),
    "actuator": _("clamp, bolt, rotochamber, dd_3 or other; empty for clamp"),
    "chamber_type": _("type of the brake chamber"),
    "stroke_class": _("stroke of the brake chamber"),
    "rated_stroke_in": _("rated stroke marked on the actuator, in inches"),
    "marked_limit_in": _("stroke limit marked on the actuator, in inches"),
    "lining": _("how a drum brake's shoe is lined"),
    "drum_limit_in": _("largest diameter marked on the brake drums, in inches"),
    "rotor_limit_in": _("least thickness marked on the brake rotors, in inches"),
    "tire_size": _("tire size, where it is not that of the unit"),
    "target_psi": _("tire pressure to be kept, in psi"),
    "max_psi": _("highest tire pressure, in psi"),
    "load_psi": _("tire pressure specified for the load carried, in psi"),
    "spacing_in": _("distance from the axle ahead of it on the unit, in inches"),
    "tire_rating_lb": _("what each tire may carry as it is mounted, marked on it, in pounds"),
}
_DOCUMENT_HELP: dict[str, Promise] = {
    "kind": _("document kind, one of the list"),
    "unit": _("unit, such as NL-11 or QX-9003@Gravelspoon Foods; empty for a person or the carrier"),
    "person": _("person: the username, or name and firm, such as Rita Sand (Crookspoke)"),
    "us_state": _("State that gave it, two capital letters, where it matters"),
    "number": _("document number"),
    "issuer": _("who issued it"),
    "issued_on": _("day of issue, like 2026-03-02"),
    "starts_on": _("first day, or the day of inspection, first use or filing"),
    "ends_on": _("last day, included; leave it empty where it follows from the first"),
    "permanent": _("true for a document without an end, where the kind allows it"),
    "program": _("inspections: self, agent or state"),
    "inspector": _("inspections: name of the inspector"),
    "evidence_held_by": _("inspections by an agent: who keeps the evidence that the inspector is qualified"),
}
_PERSON_HELP: dict[str, Promise] = {
    "name": _("full name"),
    "username": _("username; an administrator sets the password later"),
    "title": _("title"),
    "firm": _("firm, for people from outside"),
    "email": _("mail address"),
    "phone": _("phone number"),
    "language": _("en or es"),
    "home_site": _("code of the site where the person belongs"),
}
_READING_HELP: dict[str, Promise] = {
    "unit": _("unit, as NL-11 or QX-9003@Gravelspoon Foods"),
    "meter": _("odometer_mi, engine_h or standby_h"),
    "shown": _("what the meter showed, in miles or hours"),
    "read_at": _("when, like 2026-03-02T06:10:00-06:00; without the offset it is the carrier's own time"),
}
_COOLING_READING_HELP: dict[str, Promise] = {
    "unit": _("cooling unit, such as CU-41"),
    "read_at": _("when, like 2026-03-02T06:10:00-06:00; without the offset it is the carrier's own time"),
    "unit_of_measure": _("degF or degC, for all temperatures of the row"),
    "mode": _("off, continuous or cycling"),
    "defrost": _("true while it defrosts"),
    "setpoint": _("temperature that is set"),
    "return_air": _("temperature of the air that comes back"),
    "supply_air": _("temperature of the air that goes out"),
    "box": _("temperature of the box's own sensor"),
    "product": _("temperature of the product"),
    "ambient": _("temperature outside"),
    "engine_h": _("engine hours"),
    "standby_h": _("standby hours"),
    "fuel_gal": _("gallons in the tank"),
    "fuel_added_gal": _("gallons filled since the row before"),
    "alarms": _("classes of the open alarms, with spaces between: stop, act_soon, note"),
}
_ROLE_HELP: dict[str, Promise] = {
    "person": _("person: the username, or name and firm, such as Rita Sand (Crookspoke)"),
    "role": _("what the person may do"),
    "site": _("code of the site where it is held; empty for everywhere"),
    "starts_on": _("first day, today or later; empty for today"),
    "ends_on": _("last day, included; empty for no end"),
}
_MOUNTING_HELP: dict[str, Promise] = {
    "trailer": _("trailer, as LR-41 or QX-9003@Gravelspoon Foods"),
    "cooling_unit": _("cooling unit that sits on it"),
    "started_at": _("since when, like 2026-03-02T06:10:00-06:00; without the offset it is the carrier's own time"),
}


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
                _UNIT_HELP,
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
                _AXLE_HELP,
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
                _DOCUMENT_HELP,
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
                _PERSON_HELP,
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
                _READING_HELP,
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
                _COOLING_READING_HELP,
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
                _ROLE_HELP,
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
                _MOUNTING_HELP,
                {"trailer": "LR-49", "cooling_unit": "CU-49", "started_at": "2026-03-02T06:10:00-06:00"},
                needed=frozenset({"trailer", "cooling_unit", "started_at"}),
            ),
            _("One row for each cooling unit on a trailer. One already mounted at that time is unchanged."),
        ),
    )


_FORMS = _made()
