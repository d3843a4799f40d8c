"""Columns and tables of keeping and deleting: record kinds, legal holds with their cause, the deletion records."""

import common.ids
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0006_parked_deliveries")]

    operations = [
        migrations.AddField("historycontent", "record_kind", models.CharField(blank=True, default="", max_length=40)),
        migrations.AddIndex(
            "historycontent",
            models.Index(
                condition=models.Q(keep_until__isnull=False), fields=["keep_until"], name="content_by_keep_until"
            ),
        ),
        migrations.AddIndex(
            "historycontent",
            models.Index(condition=models.Q(record_kind=""), fields=["entry"], name="content_without_kind"),
        ),
        migrations.AddIndex("historyentry", models.Index(fields=["subject"], name="history_by_subject")),
        migrations.AddField(
            "legalhold",
            "cause",
            models.CharField(
                choices=[
                    ("crash", "crash"),
                    ("claim", "claim"),
                    ("complaint", "complaint"),
                    ("other", "other"),
                ],
                default="other",
                max_length=12,
            ),
            preserve_default=False,
        ),
        migrations.AddField("legalhold", "lift_reason", models.TextField(blank=True, default="")),
        migrations.AddConstraint(
            "legalhold",
            models.CheckConstraint(
                condition=models.Q(cause__in=["crash", "claim", "complaint", "other"]), name="legal_hold_cause_known"
            ),
        ),
        migrations.AddConstraint(
            "legalhold",
            models.CheckConstraint(
                condition=models.Q(lifted_at__isnull=True, lifted_by__isnull=True, lift_reason="")
                | (models.Q(lifted_at__isnull=False, lifted_by__isnull=False) & ~models.Q(lift_reason="")),
                name="legal_hold_lift_whole",
            ),
        ),
        migrations.CreateModel(
            name="Deletion",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("history_content", "history_content"),
                            ("report_checks", "report_checks"),
                            ("photo", "photo"),
                            ("scan", "scan"),
                        ],
                        max_length=16,
                    ),
                ),
                ("record", models.UUIDField()),
                (
                    "entry",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deletion",
                        to="fleet.historyentry",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deletions",
                        to="fleet.unit",
                    ),
                ),
                ("unit_name", models.CharField(blank=True, default="", max_length=160)),
                ("subject", models.UUIDField(blank=True, null=True)),
                ("event", models.CharField(blank=True, default="", max_length=48)),
                ("record_kind", models.CharField(max_length=40)),
                ("kept_until", models.DateField()),
                ("rule", models.CharField(max_length=160)),
                ("source", models.CharField(max_length=120)),
                ("content_hash", models.CharField(max_length=64)),
                ("deleted_at", models.DateTimeField()),
                ("sweep", models.UUIDField()),
            ],
            options={
                "indexes": [
                    models.Index(fields=["-deleted_at", "id"], name="deletion_newest"),
                    models.Index(fields=["unit", "-deleted_at"], name="deletion_of_unit"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("what", "record"), name="deletion_once"),
                    models.CheckConstraint(
                        condition=models.Q(what__in=["history_content", "report_checks", "photo", "scan"]),
                        name="deletion_what_known",
                    ),
                ],
            },
        ),
    ]
