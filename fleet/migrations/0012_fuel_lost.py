"""What of lost fuel was learned, in figures, and one more kind of notification: fuel is gone beyond its hours."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0011_limited_move_passed")]

    operations = [
        migrations.AddField(
            "coolingforecast",
            "lost_gone_gal",
            models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True),
        ),
        migrations.AddField(
            "coolingforecast",
            "lost_engine_h",
            models.DecimalField(blank=True, decimal_places=1, max_digits=8, null=True),
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
                        "barred_unit_on_road",
                        "limited_move_passed",
                        "fuel_lost",
                        "record_skipped",
                    )
                ],
            ),
        ),
    ]
