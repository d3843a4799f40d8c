"""The States that a clearance request names besides those of its load."""

import django.contrib.postgres.fields
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0006_load_temperature"),
    ]

    operations = [
        migrations.AddField(
            model_name="clearance",
            name="states",
            field=django.contrib.postgres.fields.ArrayField(
                base_field=models.CharField(max_length=2), blank=True, db_default=[], default=list, size=None
            ),
        ),
    ]
