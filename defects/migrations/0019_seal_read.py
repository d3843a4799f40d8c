"""A seal that reads otherwise than the papers say, and what dispatch decided over it."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("defects", "0018_listings_on_record"), ("fleet", "0001_tables")]

    operations = [
        migrations.AddField(
            model_name="load",
            name="seal_decided_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="load",
            name="seal_decided_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="load",
            name="seal_decision",
            field=models.TextField(blank=True, default=""),
        ),
        migrations.AddField(
            model_name="load",
            name="seal_read",
            field=models.CharField(blank=True, default="", max_length=40),
        ),
        migrations.AddField(
            model_name="load",
            name="seal_read_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="load",
            name="seal_read_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddConstraint(
            model_name="load",
            constraint=models.CheckConstraint(
                condition=models.Q(("seal_read_at__isnull", True), ("seal_read_by__isnull", False), _connector="OR"),
                name="load_seal_read_by_someone",
            ),
        ),
        migrations.AddConstraint(
            model_name="load",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("seal_decided_at__isnull", True), ("seal_decided_by__isnull", False), _connector="OR"
                ),
                name="load_seal_decided_by_someone",
            ),
        ),
    ]
