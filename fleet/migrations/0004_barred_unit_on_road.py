"""One more kind of notification: a unit that was on the road though it was held, or though the shop worked on it."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0003_unit_in_order")]

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
                        "record_skipped",
                    )
                ],
            ),
        ),
    ]
