"""A test in a prepared database leaves nothing in it, and the connection that Django had before."""

from django.db import connection, connections
from pytest_django.plugin import DjangoDbBlocker

from fleet.models import Carrier
from tests.support.prepared import rolled_back


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
