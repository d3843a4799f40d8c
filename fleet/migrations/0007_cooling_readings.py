"""Readings of cooling units, and what is learned from them."""

import common.ids
import django.contrib.postgres.fields
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0006_us_state"),
    ]

    operations = [
        migrations.CreateModel(
            name="CoolingForecast",
            fields=[
                (
                    "unit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="forecast",
                        serialize=False,
                        to="fleet.unit",
                    ),
                ),
                ("readings", models.PositiveIntegerField()),
                ("newest_at", models.DateTimeField(blank=True, null=True)),
                ("air_f", models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True)),
                ("air_at", models.DateTimeField(blank=True, null=True)),
                ("fuel_gal", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("fuel_at", models.DateTimeField(blank=True, null=True)),
                ("burn_gal_per_h", models.DecimalField(blank=True, decimal_places=3, max_digits=6, null=True)),
                ("burn_spread", models.DecimalField(blank=True, decimal_places=4, max_digits=7, null=True)),
                ("burn_h", models.DecimalField(blank=True, decimal_places=1, max_digits=9, null=True)),
                ("burn_stretches", models.PositiveIntegerField(default=0)),
                ("lost_gal", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("lost_since", models.DateTimeField(blank=True, null=True)),
                ("lost_until", models.DateTimeField(blank=True, null=True)),
                ("pull_down_floor_f", models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True)),
                ("pull_down_tau_h", models.DecimalField(blank=True, decimal_places=3, max_digits=6, null=True)),
                ("pull_downs", models.PositiveIntegerField(default=0)),
                ("leakage_h", models.DecimalField(blank=True, decimal_places=2, max_digits=9, null=True)),
                ("leakage_per_month_h", models.DecimalField(blank=True, decimal_places=2, max_digits=9, null=True)),
                ("warm_ups", models.PositiveIntegerField(default=0)),
                ("air_drop_f", models.DecimalField(blank=True, decimal_places=2, max_digits=6, null=True)),
                ("air_drop_least_f", models.DecimalField(blank=True, decimal_places=2, max_digits=6, null=True)),
                ("air_drops", models.PositiveIntegerField(default=0)),
                ("computed_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="CoolingReading",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("read_at", models.DateTimeField()),
                (
                    "source",
                    models.CharField(
                        choices=[("phone", "phone"), ("recorder", "recorder"), ("walk", "walk"), ("desk", "desk")],
                        max_length=8,
                    ),
                ),
                ("given_in", models.CharField(choices=[("degF", "degF"), ("degC", "degC")], max_length=4)),
                (
                    "mode",
                    models.CharField(
                        blank=True,
                        choices=[("off", "off"), ("continuous", "continuous"), ("cycling", "cycling")],
                        default="",
                        max_length=12,
                    ),
                ),
                ("defrost", models.BooleanField(default=False)),
                ("setpoint_f", models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True)),
                ("return_air_f", models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True)),
                ("supply_air_f", models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True)),
                ("box_f", models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True)),
                ("product_f", models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True)),
                ("ambient_f", models.DecimalField(blank=True, decimal_places=2, max_digits=7, null=True)),
                ("engine_h", models.DecimalField(blank=True, decimal_places=1, max_digits=8, null=True)),
                ("standby_h", models.DecimalField(blank=True, decimal_places=1, max_digits=8, null=True)),
                ("fuel_gal", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("fuel_added_gal", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                (
                    "alarms",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=20), blank=True, default=list, size=None
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[("accepted", "accepted"), ("set_aside", "set_aside")],
                        default="accepted",
                        max_length=12,
                    ),
                ),
                ("flag", models.CharField(blank=True, default="", max_length=40)),
                ("walkaround_id", models.UUIDField(blank=True, null=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="cooling_readings", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["unit", "-read_at", "-id"], name="cooling_reading_newest")],
                "constraints": [
                    models.UniqueConstraint(fields=("unit", "source", "read_at"), name="cooling_reading_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "source__in",
                                [
                                    "phone",
                                    "recorder",
                                    "walk",
                                    "desk",
                                ],
                            )
                        ),
                        name="cooling_reading_source_known",
                    ),
                ],
            },
        ),
    ]
