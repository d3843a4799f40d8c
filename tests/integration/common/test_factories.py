"""Every table of the service has a factory, which makes rows beside one another."""

import pytest
from django.apps import apps
from django.db import models

from tests.factories import defects, fleet, workorders
from tests.factories.tables import factories

APPS = (fleet, defects, workorders)
TABLES = [table for app in APPS for table in apps.get_app_config(app.__name__.rpartition(".")[2]).get_models()]


@pytest.mark.django_db
@pytest.mark.parametrize("table", TABLES, ids=lambda table: str(table._meta.label))
def test_table__has_a_factory_that_makes_one_row_beside_another(table: type[models.Model]) -> None:
    rows = factories()[table].create_batch(1 if table._meta.label == "fleet.Carrier" else 2)
    assert table._default_manager.filter(pk__in=[row.pk for row in rows]).count() == len(rows)
