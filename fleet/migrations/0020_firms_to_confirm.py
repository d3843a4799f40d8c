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
                    ("hold_placed", "a hold was placed"),
                    ("load_at_risk", "a load is at risk"),
                    ("order_by_officer", "an officer's order"),
                    ("document_ending", "a document is ending"),
                    ("answer_flipped", "an answer changed to barred"),
                    ("roadside_answer_due", "a roadside answer is due"),
                    ("promise_moved", "a promised time moved"),
                    ("unit_refused", "a driver refused a unit"),
                    ("second_look_done", "a second person looked at a refused unit"),
                    ("inspection_queried", "a passed inspection is queried"),
                    ("fault_to_grade", "a fault waits for its grade"),
                    ("hold_lifted", "a hold was lifted by a foreman of another site"),
                    ("firm_to_confirm", "a firm waits to be confirmed"),
                ],
                max_length=24,
            ),
        )
    ]
