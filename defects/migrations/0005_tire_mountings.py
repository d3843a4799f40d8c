"""Which casing stands at which place of a unit, from when until when."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F, Q

import common.ids


class Migration(migrations.Migration):
    dependencies = [("defects", "0004_scale_tickets"), ("fleet", "0008_axle_distances")]

    operations = [
        migrations.CreateModel(
            "TireMounting",
            [
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="tire_mountings", to="fleet.unit"
                    ),
                ),
                ("place", models.CharField(max_length=40)),
                ("casing", models.CharField(max_length=40)),
                ("mounted_at", models.DateTimeField()),
                ("removed_at", models.DateTimeField(blank=True, null=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "recorded_by",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="fleet.person"),
                ),
            ],
            options={
                "constraints": (
                    models.CheckConstraint(
                        condition=Q(removed_at__isnull=True) | Q(removed_at__gte=F("mounted_at")),
                        name="tire_removed_after_mounting",
                    ),
                    models.UniqueConstraint(
                        fields=("unit", "place"), condition=Q(removed_at__isnull=True), name="tire_one_at_a_place"
                    ),
                    models.UniqueConstraint(
                        fields=("casing",), condition=Q(removed_at__isnull=True), name="tire_at_one_place"
                    ),
                ),
                "indexes": [models.Index(fields=["casing", "mounted_at"], name="tire_mounting_series")],
            },
        ),
    ]
