"""Constraints, indexes and reverse names carry the glossary's words."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0027_columns_of_the_glossary"),
        ("fleet", "0039_indexes_of_the_glossary"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RenameIndex(
            model_name="defect",
            new_name="defect_authority",
            old_name="defect_standing",
        ),
        migrations.RenameIndex(
            model_name="hold",
            new_name="hold_active",
            old_name="hold_standing",
        ),
        migrations.AlterField(
            model_name="clearance",
            name="requested_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="clearances_requested",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AlterField(
            model_name="clearancechange",
            name="clearance",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="changes", to="defects.clearance"
            ),
        ),
        migrations.AddIndex(
            model_name="clearance",
            index=models.Index(fields=["-requested_at", "id"], name="clearance_newest"),
        ),
        migrations.AddIndex(
            model_name="report",
            index=models.Index(
                condition=models.Q(("review_due", True)), fields=["unit", "-performed_at"], name="report_to_review"
            ),
        ),
        migrations.AddConstraint(
            model_name="activebar",
            constraint=models.UniqueConstraint(
                condition=models.Q(("gone_at__isnull", True)), fields=("clearance", "bar"), name="active_bar_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="activebar",
            constraint=models.CheckConstraint(
                condition=models.Q(("gone_at__isnull", True), ("gone_at__gte", models.F("seen_at")), _connector="OR"),
                name="active_bar_gone_after",
            ),
        ),
        migrations.AddConstraint(
            model_name="clearancechange",
            constraint=models.UniqueConstraint(fields=("clearance", "number"), name="clearance_change_numbered"),
        ),
        migrations.AddConstraint(
            model_name="clearancechange",
            constraint=models.UniqueConstraint(
                condition=models.Q(("back_at__isnull", True)), fields=("clearance",), name="clearance_change_one_active"
            ),
        ),
        migrations.AddConstraint(
            model_name="clearancechange",
            constraint=models.CheckConstraint(
                condition=models.Q(("back_at__isnull", True), ("back_at__gte", models.F("barred_at")), _connector="OR"),
                name="clearance_change_back_after",
            ),
        ),
        migrations.AddConstraint(
            model_name="hold",
            constraint=models.UniqueConstraint(
                condition=models.Q(("lifted_at__isnull", True), ("defect__isnull", False), ("kind", "carrier")),
                fields=("defect",),
                name="hold_one_active_for_defect",
            ),
        ),
    ]
