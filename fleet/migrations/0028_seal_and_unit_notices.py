"""Notices of wrong seals, and of faults on units that are not known."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0027_faults_before_use")]

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
                    ("fault_before_use", "a fault is to be repaired before the next use"),
                    ("hold_lifted", "a hold was lifted by a foreman of another site"),
                    ("firm_to_confirm", "a firm waits to be confirmed"),
                    ("seal_differs", "a seal is not the one on the papers"),
                    ("unit_unknown", "a fault was reported on a unit that is not known"),
                    ("record_passed_over", "a sweep passes over a record"),
                ],
                max_length=24,
            ),
        )
    ]
