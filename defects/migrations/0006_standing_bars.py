"""Times during which one thing barred an answer that dispatch plans by."""

import django.db.models.deletion
from django.db import migrations, models

import common.ids


class Migration(migrations.Migration):
    dependencies = [("defects", "0005_purged_reports")]

    operations = [
        migrations.CreateModel(
            name="StandingBar",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("bar", models.TextField()),
                ("seen_at", models.DateTimeField()),
                ("gone_at", models.DateTimeField(blank=True, null=True)),
                (
                    "clearance",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="bars", to="defects.clearance"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("gone_at__isnull", True)),
                        fields=("clearance", "bar"),
                        name="standing_bar_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("gone_at__isnull", True),
                            ("gone_at__gte", models.F("seen_at")),
                            _connector="OR",
                        ),
                        name="standing_bar_gone_after",
                    ),
                ],
            },
        ),
    ]
