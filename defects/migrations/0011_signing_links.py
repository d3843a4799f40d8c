"""One-time links by which outsiders sign, who confirmed their firm, and what a certificate says of both."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import common.ids


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0010_looked_at"),
        ("fleet", "0017_lifts_elsewhere"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="FirmConfirmation",
            fields=[
                (
                    "id",
                    models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False),
                ),
                ("firm", models.CharField(max_length=120)),
                ("how", models.TextField()),
                ("brake_evidence", models.TextField(blank=True, default="")),
                ("confirmed_at", models.DateTimeField()),
                (
                    "confirmed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="firms_confirmed",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["-confirmed_at", "id"], name="firm_confirmation_newest")],
            },
        ),
        migrations.CreateModel(
            name="SigningLink",
            fields=[
                (
                    "id",
                    models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False),
                ),
                ("digest", models.BinaryField(max_length=32, unique=True)),
                ("made_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                ("used_at", models.DateTimeField(blank=True, null=True)),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                ("defects", models.ManyToManyField(related_name="signing_links", to="defects.defect")),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="signing_links",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["-made_at", "id"], name="signing_link_newest")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("used_at__isnull", True), ("revoked_at__isnull", True), _connector="OR"),
                        name="signing_link_one_end",
                    )
                ],
            },
        ),
        migrations.AddField(
            model_name="certificate",
            name="brake_evidence",
            field=models.TextField(blank=True, default=""),
        ),
        migrations.AddField(
            model_name="certificate",
            name="firm",
            field=models.CharField(blank=True, default="", max_length=120),
        ),
        migrations.AddField(
            model_name="certificate",
            name="link",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="certificates",
                to="defects.signinglink",
            ),
        ),
        migrations.RunSQL(
            "SELECT keep_append_only('defects_firmconfirmation')",
            "DROP TRIGGER append_only ON defects_firmconfirmation; "
            "DROP TRIGGER append_only_whole ON defects_firmconfirmation;",
        ),
    ]
