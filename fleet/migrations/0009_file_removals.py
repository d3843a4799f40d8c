"""Bytes owed to be removed, and the last day of keeping the scan of a replaced paper."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0008_purge")]

    operations = [
        migrations.CreateModel(
            name="FileRemoval",
            fields=[
                (
                    "file",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="removal",
                        serialize=False,
                        to="fleet.storedfile",
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                ("done_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(done_at__isnull=True), fields=["asked_at"], name="file_removal_owed"
                    )
                ],
            },
        ),
        migrations.AddField("document", "scan_kept_until", models.DateField(blank=True, null=True)),
        migrations.AddField("document", "scan_record_kind", models.CharField(blank=True, default="", max_length=40)),
        migrations.AddIndex(
            "document",
            models.Index(
                condition=models.Q(file__isnull=False, replaced_at__isnull=False),
                fields=["scan_kept_until"],
                name="document_scan_to_delete",
            ),
        ),
    ]
