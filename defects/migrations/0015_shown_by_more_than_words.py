"""Tests repeated by another person, and errors in entry that are signed and say who showed them."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import common.ids

KEY = ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False))
APPEND_ONLY = ("defects_repeatedtest", "defects_entryinerror")


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0014_sent_bodies"),
        ("fleet", "0020_firms_to_confirm"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="RepeatedTest",
            fields=[
                KEY,
                ("passed", models.BooleanField()),
                ("note", models.TextField(blank=True, default="")),
                ("tested_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "defect",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="repeated_tests",
                        to="defects.defect",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="repeated_tests",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["defect", "-tested_at"], name="repeated_test_of_defect")],
            },
        ),
        migrations.CreateModel(
            name="EntryInError",
            fields=[
                KEY,
                ("reason", models.TextField()),
                ("photo_sha256", models.CharField(blank=True, default="", max_length=64)),
                ("entered_at", models.DateTimeField()),
                (
                    "defect",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entry_in_error",
                        to="defects.defect",
                    ),
                ),
                (
                    "measurement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries_in_error",
                        to="defects.measurement",
                    ),
                ),
                (
                    "repeated_test",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries_in_error",
                        to="defects.repeatedtest",
                    ),
                ),
                (
                    "shown_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="errors_shown",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "signature",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entry_in_error",
                        to="fleet.signature",
                    ),
                ),
            ],
            options={"verbose_name_plural": "entries in error"},
        ),
        migrations.AddField(
            model_name="certificate",
            name="repeated_test",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="certificates",
                to="defects.repeatedtest",
            ),
        ),
        *[
            migrations.RunSQL(
                f"SELECT keep_append_only('{table}')",
                f"DROP TRIGGER append_only ON {table}; DROP TRIGGER append_only_whole ON {table};",
            )
            for table in APPEND_ONLY
        ],
    ]
