"""Constraints, indexes and reverse names carry the glossary's words."""

import django.db.models.deletion
import fleet.enums
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0038_columns_of_the_glossary"),
    ]

    operations = [
        migrations.RenameIndex(
            model_name="legalhold",
            new_name="legal_hold_active",
            old_name="legal_hold_standing",
        ),
        migrations.RenameIndex(
            model_name="notification",
            new_name="notification_by_cause",
            old_name="notice_by_cause",
        ),
        migrations.RenameIndex(
            model_name="oncallshift",
            new_name="on_call_active",
            old_name="on_call_standing",
        ),
        migrations.AlterField(
            model_name="delivery",
            name="state",
            field=models.CharField(
                choices=[("pending", "pending"), ("sent", "sent"), ("parked", "parked"), ("dropped", "dropped")],
                default=fleet.enums.DeliveryState["PENDING"],
                max_length=8,
            ),
        ),
        migrations.AlterField(
            model_name="document",
            name="superseded_by",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="supersedes",
                to="fleet.document",
            ),
        ),
        migrations.AlterField(
            model_name="notification",
            name="person",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="notifications", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AlterField(
            model_name="notification",
            name="unit",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="notifications",
                to="fleet.unit",
            ),
        ),
        migrations.AlterField(
            model_name="oncallshift",
            name="person",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="shifts", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AlterField(
            model_name="oncallshift",
            name="site",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="shifts",
                to="fleet.site",
            ),
        ),
        migrations.AddIndex(
            model_name="delivery",
            index=models.Index(
                condition=models.Q(("state", "pending")), fields=["next_try_at", "id"], name="delivery_pending_by_time"
            ),
        ),
        migrations.AddIndex(
            model_name="document",
            index=models.Index(
                condition=models.Q(("superseded_at__isnull", True)), fields=["ends_on", "id"], name="document_by_end"
            ),
        ),
        migrations.AddIndex(
            model_name="document",
            index=models.Index(
                condition=models.Q(("file__isnull", False), ("superseded_at__isnull", False)),
                fields=["scan_retained_until"],
                name="document_scan_to_delete",
            ),
        ),
        migrations.AddIndex(
            model_name="fileremoval",
            index=models.Index(
                condition=models.Q(("done_at__isnull", True)), fields=["requested_at"], name="file_removal_pending"
            ),
        ),
        migrations.AddIndex(
            model_name="historycontent",
            index=models.Index(
                condition=models.Q(("retained_until__isnull", False)),
                fields=["retained_until"],
                name="content_by_retained_until",
            ),
        ),
        migrations.AddIndex(
            model_name="notification",
            index=models.Index(fields=["person", "-created_at", "id"], name="notification_person_newest"),
        ),
        migrations.AddIndex(
            model_name="notification",
            index=models.Index(
                condition=models.Q(("acknowledged_at__isnull", True), ("escalated_at__isnull", True), ("urgent", True)),
                fields=["created_at"],
                name="notification_to_escalate",
            ),
        ),
        migrations.AddIndex(
            model_name="notification",
            index=models.Index(
                condition=models.Q(
                    ("acknowledged_at__isnull", True),
                    ("code__in", ("document_overdue", "document_missing")),
                    ("escalated_at__isnull", True),
                ),
                fields=["created_at"],
                name="late_document_to_escalate",
            ),
        ),
        migrations.AddConstraint(
            model_name="document",
            constraint=models.UniqueConstraint(
                condition=models.Q(("superseded_at__isnull", True)),
                fields=("kind", "unit", "person", "state"),
                name="document_one_current",
                nulls_distinct=False,
            ),
        ),
        migrations.AddConstraint(
            model_name="skippedrecord",
            constraint=models.UniqueConstraint(fields=("job", "subject"), name="skipped_record_once"),
        ),
    ]
