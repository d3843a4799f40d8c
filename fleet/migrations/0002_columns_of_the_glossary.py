"""Columns and kinds of notifications by the glossary's words. No carrier has rows yet that hold a kind's earlier word."""

from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):
    dependencies = [("fleet", "0001_initial")]

    operations = [
        migrations.RenameField("devicetoken", "digest", "token_hash"),
        migrations.RenameField("feedtoken", "digest", "token_hash"),
        migrations.RemoveConstraint("delivery", "delivery_one_digest_a_day"),
        migrations.RenameField("delivery", "digest_on", "summary_on"),
        migrations.AddConstraint(
            "delivery",
            models.UniqueConstraint(
                fields=("person", "channel", "summary_on"),
                condition=Q(summary_on__isnull=False),
                name="delivery_one_summary_a_day",
            ),
        ),
        migrations.AlterField(
            "notification",
            "kind",
            models.CharField(
                max_length=24,
                choices=[
                    (kind, kind)
                    for kind in (
                        "hold_placed",
                        "load_at_risk",
                        "order_by_officer",
                        "document_ending",
                        "clearance_barred",
                        "roadside_answer_due",
                        "expected_time_moved",
                        "unit_refused",
                        "second_look_done",
                        "inspection_flagged",
                        "fault_to_grade",
                        "fault_before_use",
                        "hold_lifted",
                        "firm_to_confirm",
                        "seal_differs",
                        "unit_unknown",
                        "record_skipped",
                    )
                ],
            ),
        ),
    ]
