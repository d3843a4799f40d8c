"""Loads that were recorded under the former name of the mode."""

from django.db import migrations

CYCLING = "UPDATE defects_load SET mode = 'cycling' WHERE mode = 'start_stop'"
CYCLING_BACK = "UPDATE defects_load SET mode = 'start_stop' WHERE mode = 'cycling'"


class Migration(migrations.Migration):
    dependencies = [("defects", "0008_mode_cycling")]

    operations = [migrations.RunSQL(CYCLING, CYCLING_BACK)]
