"""Notices of faults to be repaired before the next use."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0026_passed_over")]

    operations = [
        migrations.AlterField(
            model_name="notice",
            name="kind",
            field=models.CharField(
                choices=[
                    ("hold_placed", "hold_placed"),
                    ("load_at_risk", "load_at_risk"),
                    ("order_by_officer", "order_by_officer"),
                    ("document_ending", "document_ending"),
                    ("answer_flipped", "answer_flipped"),
                    ("roadside_answer_due", "roadside_answer_due"),
                    ("promise_moved", "promise_moved"),
                    ("unit_refused", "unit_refused"),
                    ("second_look_done", "second_look_done"),
                    ("inspection_queried", "inspection_queried"),
                    ("fault_to_grade", "fault_to_grade"),
                    ("fault_before_use", "fault_before_use"),
                    ("hold_lifted", "hold_lifted"),
                    ("firm_to_confirm", "firm_to_confirm"),
                    ("record_passed_over", "record_passed_over"),
                ],
                max_length=24,
            ),
        )
    ]
