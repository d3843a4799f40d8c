"""Where units are, from when on, and how they were left there."""

import common.ids
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0008_axle_distances"),
    ]

    operations = [
        migrations.CreateModel(
            name="Whereabouts",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "location",
                    models.CharField(
                        choices=[
                            ("site", "site"),
                            ("customer", "customer"),
                            ("dealer", "dealer"),
                            ("tow_yard", "tow_yard"),
                            ("roadside", "roadside"),
                            ("under_way", "under_way"),
                        ],
                        max_length=12,
                    ),
                ),
                ("address", models.CharField(blank=True, default="", max_length=200)),
                ("since", models.DateTimeField()),
                ("legs_down", models.BooleanField(blank=True, null=True)),
                ("doors_closed", models.BooleanField(blank=True, null=True)),
                (
                    "mode",
                    models.CharField(
                        blank=True,
                        choices=[("off", "off"), ("continuous", "continuous"), ("cycling", "cycling")],
                        default="",
                        max_length=12,
                    ),
                ),
                ("fuel_gal", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("seal", models.CharField(blank=True, default="", max_length=40)),
                ("note", models.TextField(blank=True, default="")),
                ("walkaround_id", models.UUIDField(blank=True, null=True)),
                ("recorded_at", models.DateTimeField()),
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
                        related_name="+",
                        to="fleet.site",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="whereabouts", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["unit", "-since", "-id"], name="whereabouts_newest")],
            },
        ),
    ]
