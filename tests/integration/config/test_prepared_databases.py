"""The prepared databases: a test leaves nothing in one, nor another connection to Django; what changes is seen."""

from django.db import connection, connections
from pytest_django.plugin import DjangoDbBlocker

from fleet.models import Carrier, Person
from tests.support.contents import contents
from tests.support.prepared import rolled_back
from tests.support.yard import Yard


def test_rolled_back__written_by_nobody_and_left_for_good(
    noon_template: str, django_db_blocker: DjangoDbBlocker
) -> None:
    pointed_elsewhere, before = connection.settings_dict["NAME"], connections["default"]
    for _ in range(2):
        with rolled_back(noon_template, django_db_blocker):
            assert Carrier.objects.update(name="Changed") == 1
            assert connection.connection.info.dbname == noon_template
        assert connections["default"] is before
        assert connection.settings_dict["NAME"] == pointed_elsewhere
    with rolled_back(noon_template, django_db_blocker):
        assert Carrier.objects.get().name != "Changed"


def test_value_moved_from_one_row_to_another__changes_the_contents(yard: Yard) -> None:
    Person.objects.filter(username="sol").update(phone="555")
    before = contents()
    Person.objects.filter(username="sol").update(phone="")
    Person.objects.filter(username="iris").update(phone="555")
    assert {name for name, held in contents().items() if held != before[name]} == {"fleet_person"}
