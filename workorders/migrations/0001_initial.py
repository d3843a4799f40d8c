"""What the shop does: every table of the app."""

import common.ids
import django.db.models.deletion
import fleet.models.base
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    replaces = [
        ("workorders", "0001_tables"),
        ("workorders", "0002_paused_tasks"),
        ("workorders", "0003_work_under_way"),
        ("workorders", "0004_paused_for_cold_freight"),
        ("workorders", "0005_constraints_of_the_glossary"),
    ]

    dependencies = [
        ("defects", "0001_initial"),
        ("fleet", "0001_initial"),
        ("fleet", "__first__"),
    ]

    operations = [
        migrations.RunSQL(
            "CREATE SEQUENCE workorders_order_number START 1001", "DROP SEQUENCE workorders_order_number"
        ),
        migrations.CreateModel(
            name="RepairOrder",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "number",
                    models.BigIntegerField(
                        db_default=fleet.models.base.Sequence("workorders_order_number"), unique=True
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("assigned", "assigned"),
                            ("in_progress", "in_progress"),
                            ("waiting", "waiting"),
                            ("work_done", "work_done"),
                            ("closed", "closed"),
                            ("cancelled", "cancelled"),
                        ],
                        default="open",
                        max_length=12,
                    ),
                ),
                (
                    "waiting_for",
                    models.CharField(
                        blank=True,
                        choices=[("parts", "parts"), ("outside", "outside"), ("road_test", "road_test")],
                        default="",
                        max_length=12,
                    ),
                ),
                ("opened_at", models.DateTimeField()),
                ("expected_at", models.DateTimeField(blank=True, null=True)),
                ("work_done_at", models.DateTimeField(blank=True, null=True)),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("cancel_reason", models.TextField(blank=True, default="")),
                (
                    "assigned_to",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="repair_orders",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "opened_by",
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
                        related_name="repair_orders",
                        to="fleet.site",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="repair_orders", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["-opened_at", "id"], name="order_newest"),
                    models.Index(fields=["state", "expected_at"], name="order_by_state"),
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("state__in", ["open", "assigned", "in_progress", "waiting", "work_done"])),
                        fields=("unit",),
                        name="order_one_active_for_unit",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "state__in",
                                ["open", "assigned", "in_progress", "waiting", "work_done", "closed", "cancelled"],
                            )
                        ),
                        name="order_state_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "waiting"), models.Q(("waiting_for", ""), _negated=True)),
                            models.Q(models.Q(("state", "waiting"), _negated=True), ("waiting_for", "")),
                            _connector="OR",
                        ),
                        name="order_waiting_says_for_what",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "cancelled"), _negated=True),
                            models.Q(("cancel_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="order_cancelled_says_why",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RepairTask",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("started", "started"),
                            ("paused", "paused"),
                            ("done", "done"),
                            ("not_reproduced", "not_reproduced"),
                            ("cancelled", "cancelled"),
                        ],
                        default="open",
                        max_length=16,
                    ),
                ),
                ("scope", models.CharField(blank=True, default="", max_length=24)),
                ("complaint", models.TextField()),
                ("cause", models.TextField(blank=True, default="")),
                ("correction", models.TextField(blank=True, default="")),
                ("conditions", models.TextField(blank=True, default="")),
                ("road_test_at", models.DateTimeField(blank=True, null=True)),
                ("undone", models.TextField(blank=True, default="")),
                ("cold_freight_too", models.BooleanField(default=False)),
                ("cancel_reason", models.TextField(blank=True, default="")),
                ("opened_at", models.DateTimeField()),
                ("started_at", models.DateTimeField(blank=True, null=True)),
                ("done_at", models.DateTimeField(blank=True, null=True)),
                (
                    "after",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tasks_after",
                        to="defects.measurement",
                    ),
                ),
                (
                    "before",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tasks_before",
                        to="defects.measurement",
                    ),
                ),
                (
                    "defect",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="repair_tasks",
                        to="defects.defect",
                    ),
                ),
                (
                    "helpers",
                    models.ManyToManyField(blank=True, related_name="repair_tasks_helped", to=settings.AUTH_USER_MODEL),
                ),
                (
                    "lead",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="repair_tasks_led",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="tasks", to="workorders.repairorder"
                    ),
                ),
                (
                    "pause_signature",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="paused_task",
                        to="fleet.signature",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["order", "opened_at"], name="task_of_order")],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("state__in", ["open", "started", "paused", "not_reproduced"])),
                        fields=("defect",),
                        name="task_one_active_for_defect",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("state__in", ["open", "started", "paused", "done", "not_reproduced", "cancelled"])
                        ),
                        name="task_state_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "done"), _negated=True),
                            models.Q(("correction", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="task_done_says_what",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "cancelled"), _negated=True),
                            models.Q(("cancel_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="task_cancelled_says_why",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "not_reproduced"), _negated=True),
                            models.Q(models.Q(("conditions", ""), _negated=True), ("road_test_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="task_not_reproduced_says_when_next",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "paused"), _negated=True),
                            models.Q(models.Q(("undone", ""), _negated=True), ("pause_signature__isnull", False)),
                            _connector="OR",
                        ),
                        name="task_paused_says_what_is_undone",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="OutsideRepair",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("firm", models.CharField(max_length=120)),
                ("place", models.CharField(max_length=200)),
                ("work", models.TextField()),
                ("invoice", models.CharField(blank=True, default="", max_length=60)),
                ("cost", models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True)),
                ("currency", models.CharField(blank=True, default="", max_length=3)),
                ("photo_sha256", models.CharField(blank=True, default="", max_length=64)),
                ("done_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "worker",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="outside_repairs",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="outside_repairs",
                        to="workorders.repairorder",
                    ),
                ),
                ("tasks", models.ManyToManyField(related_name="outside_repairs", to="workorders.repairtask")),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="LaborEntry",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("role", models.CharField(choices=[("lead", "lead"), ("helper", "helper")], max_length=8)),
                ("started_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("pause_cause", models.CharField(blank=True, default="", max_length=60)),
                ("rate", models.DecimalField(blank=True, decimal_places=2, max_digits=8, null=True)),
                ("currency", models.CharField(blank=True, default="", max_length=3)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="labor", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "task",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="labor", to="workorders.repairtask"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "labor entries",
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True)),
                        fields=("person",),
                        name="labor_one_running_for_person",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ended_at__isnull", True), ("ended_at__gte", models.F("started_at")), _connector="OR"
                        ),
                        name="labor_ends_after_start",
                    ),
                ],
            },
        ),
    ]
