"""Adding, editing and retiring units from the desk."""

import datetime as dt
from decimal import Decimal

import pytest

from common.errors import Conflict, Invalid, NotFound, PreconditionFailed
from common.ids import uuid7
from defects.enums import DefectState, HoldKind
from defects.models import Defect
from fleet.enums import Role, UnitKind
from fleet.models import Person, Unit
from fleet.services.units.units import create_unit, edit_unit, retire_unit
from tests.factories.defects import HoldFactory
from tests.factories.fleet import NOON, TODAY, history_of, make_coupling, make_mounting, make_person, make_unit
from tests.factories.workorders import make_defect, make_order
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db
DRIVE = {"number": 1, "role": "drive", "dual": True}


@pytest.fixture
def desk() -> Person:
    return make_person("Vera Holt", Role.COMPLIANCE)


def edit(unit: Unit, desk: Person, version: int | None = 1, **changes: object) -> Unit:
    parts = {"facts": {}, "details": {}, "axles": None, **changes}
    return edit_unit(unit_id=unit.pk, version=version, actor=desk, now=NOON, **parts)  # type: ignore[arg-type]


def retire(unit: Unit, desk: Person, on: dt.date = TODAY) -> Unit:
    return retire_unit(
        unit_id=unit.pk, version=unit.version, retired_on=on, reason="sold", today=TODAY, actor=desk, now=NOON
    )


class TestAdding:
    def test_tractor__has_its_details_axles_chain_and_history(self, desk: Person) -> None:
        unit = create_unit(
            kind=UnitKind.TRACTOR,
            facts={"number": "NL-11", "make": "Volt"},
            details={"fuel_tank_gal": Decimal("120.0")},
            axles=[DRIVE],
            actor=desk,
            now=NOON,
        )
        assert unit.tractor.fuel_tank_gal == Decimal("120.0")
        assert [(axle.number, axle.role, axle.dual) for axle in unit.axles.all()] == [(1, "drive", True)]
        assert unit.chain.sequence == 1
        (entry,) = unit.history.all()
        assert (entry.kind, entry.actor_id, entry.subject) == ("unit_added", desk.pk, unit.pk)
        assert '"make":"Volt"' in entry.content.body

    def test_several_faults__are_all_named_and_nothing_is_kept(self, desk: Person) -> None:
        problems = (
            ("/number", "unit_number_malformed"),
            ("/vin", "vin_length"),
            ("/axles/0/role", "axle_role_not_of_kind"),
        )
        with refused(Invalid, "unit_refused", *problems):
            create_unit(
                kind=UnitKind.TRAILER,
                facts={"number": "N L", "vin": "1M8"},
                details={},
                axles=[DRIVE],
                actor=desk,
                now=NOON,
            )
        assert not Unit.objects.exists()

    def test_detail_of_another_kind__is_a_mistake_of_ours(self, desk: Person) -> None:
        with pytest.raises(KeyError, match="tank_gal"):
            create_unit(
                kind=UnitKind.TRACTOR,
                facts={"number": "NL-1"},
                details={"tank_gal": Decimal(50)},
                axles=[],
                actor=desk,
                now=NOON,
            )


class TestEditing:
    def test_change__raises_the_version_and_tells_before_and_after(self, desk: Person) -> None:
        unit = make_unit(number="NL-11", make="Volt")
        changed = edit(unit, desk, facts={"make": "Norr"}, details={"gross_rating_lb": 52000})
        unit.refresh_from_db()
        assert (changed.version, unit.version, unit.make) == (2, 2, "Norr")
        assert unit.tractor.gross_rating_lb == 52000
        body = unit.history.latest("sequence").content.body
        assert body == '{"gross_rating_lb":[null,52000],"make":["Volt","Norr"]}'

    def test_nothing_said_that_is_not_so_already__no_new_version_and_no_entry(self, desk: Person) -> None:
        unit = make_unit(make="Volt")
        assert edit(unit, desk).version == 1
        assert edit(unit, desk, facts={"make": "Volt"}).version == 1
        with refused(PreconditionFailed, "version_changed"):
            edit(unit, desk, 2)
        unit.refresh_from_db()
        assert (unit.version, history_of(unit)) == (1, ["unit_added"])

    def test_axles__are_replaced_as_a_whole(self, desk: Person) -> None:
        unit = make_unit()
        edit(unit, desk, axles=[{**DRIVE, "chamber_type": "30"}])
        assert list(unit.axles.values_list("number", "chamber_type")) == [(1, "30")]

    def test_axles_left_out__stay(self, desk: Person) -> None:
        unit = make_unit()
        edit(unit, desk, facts={"make": "Norr"})
        assert unit.axles.count() == 2

    @pytest.mark.parametrize("version", [0, 2, None])
    def test_another_version__is_refused_and_nothing_changed(self, desk: Person, version: int | None) -> None:
        unit = make_unit()
        with refused(PreconditionFailed, "version_changed"):
            edit(unit, desk, version, facts={"make": "Norr"})
        unit.refresh_from_db()
        assert (unit.version, unit.make) == (1, "")
        assert history_of(unit) == ["unit_added"]

    def test_retired_unit__stays_as_it_is(self, desk: Person) -> None:
        unit = retire(make_unit(), desk)
        with refused(Conflict, "action_not_allowed"):
            edit(unit, desk, unit.version, facts={"make": "Norr"})

    def test_unknown_unit__is_not_found(self, desk: Person) -> None:
        with refused(NotFound, "unit_unknown"):
            edit(Unit(pk=uuid7()), desk)


class TestGivingAway:
    @pytest.fixture
    def tractor(self) -> Unit:
        return make_unit(number="NL-11")

    def test_unit_that_nothing_waits_for__has_an_owner_then(self, tractor: Unit, desk: Person) -> None:
        assert edit(tractor, desk, facts={"owner": "Gravelspoon Foods"}).owner == "Gravelspoon Foods"

    def test_coupled_unit__is_refused(self, tractor: Unit, desk: Person) -> None:
        make_coupling(tractor, make_unit(UnitKind.TRAILER))
        with refused(Conflict, "unit_in_coupling"):
            edit(tractor, desk, facts={"owner": "Gravelspoon Foods"})

    def test_unit_with_an_open_defect_then_an_open_order__is_refused(self, tractor: Unit, desk: Person) -> None:
        defect = make_defect(tractor, desk)
        with refused(Conflict, "unit_has_open_defects"):
            edit(tractor, desk, facts={"owner": "Gravelspoon Foods"})
        make_order(defect)
        Defect.objects.update(state=DefectState.CLOSED)
        with refused(Conflict, "unit_has_open_order"):
            edit(tractor, desk, facts={"owner": "Gravelspoon Foods"})

    def test_held_unit__is_refused(self, tractor: Unit, desk: Person) -> None:
        HoldFactory.create(unit=tractor, kind=HoldKind.CARRIER, recorded_at=NOON, placed_by=desk)
        with refused(Conflict, "unit_has_open_defects"):
            edit(tractor, desk, facts={"owner": "Gravelspoon Foods"})


class TestRetiring:
    def test_retired_unit__frees_its_number(self, desk: Person) -> None:
        unit = retire(make_unit(number="NL-11"), desk)
        assert unit.retired_on == TODAY
        assert history_of(unit) == ["unit_added", "unit_retired"]
        assert make_unit(number="NL-11").pk != unit.pk

    def test_day_to_come__is_refused(self, desk: Person) -> None:
        with refused(Invalid, "date_in_future", ("/retired_on", "date_in_future")):
            retire(make_unit(), desk, TODAY + dt.timedelta(days=1))

    def test_coupled_unit__is_refused(self, desk: Person) -> None:
        unit = make_unit()
        make_coupling(unit, make_unit(UnitKind.TRAILER))
        with refused(Conflict, "unit_in_coupling"):
            retire(unit, desk)

    @pytest.mark.parametrize("which", ["trailer", "cooling_unit"])
    def test_mounted_unit__is_refused(self, desk: Person, which: str) -> None:
        mounting = make_mounting()
        with refused(Conflict, "unit_mounted"):
            retire(getattr(mounting, which).unit, desk)

    def test_retired_twice__is_refused(self, desk: Person) -> None:
        unit = retire(make_unit(), desk)
        with refused(Conflict, "action_not_allowed"):
            retire(unit, desk)

    def test_without_reason__is_refused(self, desk: Person) -> None:
        unit = make_unit()
        with refused(Invalid, "required_fields_missing", ("/reason", "required")):
            retire_unit(unit_id=unit.pk, version=1, retired_on=TODAY, reason="", today=TODAY, actor=desk, now=NOON)
