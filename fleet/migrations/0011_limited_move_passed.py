"""One more kind of notification: the time or the miles of a limited move are passed."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0010_learned_by_a_job")]

    operations = [
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
                        "barred_unit_on_road",
                        "limited_move_passed",
                        "record_skipped",
                    )
                ],
            ),
        ),
    ]
