"""Notices of refused units and of the second look at them."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0002_append_only")]

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
                ],
                max_length=24,
            ),
        )
    ]
