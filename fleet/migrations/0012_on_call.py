"""The roster of people on call, which urgent notices follow."""

import common.ids
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    """Adds one table."""

    dependencies = [
        ("fleet", "0011_purge_in_pages"),
    ]

    operations = [
        migrations.CreateModel(
            name="OnCallTurn",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("driver", "driver"),
                            ("mechanic", "mechanic"),
                            ("foreman", "foreman"),
                            ("compliance", "compliance"),
                            ("dispatch", "dispatch"),
                            ("administrator", "administrator"),
                            ("trainer", "trainer"),
                            ("auditor", "auditor"),
                        ],
                        max_length=16,
                    ),
                ),
                ("starts_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="turns", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="turns",
                        to="fleet.site",
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("withdrawn_at__isnull", True)),
                        fields=["person", "role", "ends_at"],
                        name="on_call_standing",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "role__in",
                                [
                                    "driver",
                                    "mechanic",
                                    "foreman",
                                    "compliance",
                                    "dispatch",
                                    "administrator",
                                    "trainer",
                                    "auditor",
                                ],
                            )
                        ),
                        name="on_call_role_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("ends_at__gt", models.F("starts_at"))), name="on_call_ends_after_start"
                    ),
                ],
            },
        ),
    ]
