"""Work that is under way on units, as the shop tells of it."""

import common.ids
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0015_shown_by_more_than_words"),
        ("fleet", "0025_work_paused"),
    ]

    operations = [
        migrations.CreateModel(
            name="WorkInProgress",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("task_id", models.UUIDField(unique=True)),
                ("order_id", models.UUIDField()),
                ("order_number", models.BigIntegerField()),
                ("what", models.TextField()),
                ("since", models.DateTimeField()),
                ("undone", models.TextField(blank=True, default="")),
                ("expected_at", models.DateTimeField(blank=True, null=True)),
                (
                    "unit",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="fleet.unit"),
                ),
            ],
            options={
                "verbose_name_plural": "works in progress",
                "indexes": [models.Index(fields=["order_id"], name="work_by_order")],
            },
        ),
    ]
