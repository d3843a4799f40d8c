"""Notices of firms that wait to be confirmed."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0019_sweep_runs")]

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
                    ("hold_lifted", "hold_lifted"),
                    ("firm_to_confirm", "firm_to_confirm"),
                ],
                max_length=24,
            ),
        )
    ]
