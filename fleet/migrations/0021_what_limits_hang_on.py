"""What limits hang on: actuators of other kinds, marked strokes, the pressure for the load, the maker's governor.

Fuel rates have three decimals.
"""

from django.db import migrations, models

ACTUATORS = [
    ("clamp", "clamp"),
    ("bolt", "bolt"),
    ("rotochamber", "rotochamber"),
    ("dd_3", "dd_3"),
    ("other", "other"),
]
CHAMBERS = ("6", "9", "12", "16", "20", "24", "30", "36", "A", "B", "C", "D", "E", "F", "G", "50")


class Migration(migrations.Migration):
    dependencies = [("fleet", "0020_firms_to_confirm")]

    operations = [
        migrations.AddField(
            model_name="axle",
            name="actuator",
            field=models.CharField(blank=True, choices=ACTUATORS, default="", max_length=12),
        ),
        migrations.AddField(
            model_name="axle",
            name="rated_stroke_in",
            field=models.DecimalField(blank=True, decimal_places=3, max_digits=4, null=True),
        ),
        migrations.AddField(
            model_name="axle",
            name="marked_limit_in",
            field=models.DecimalField(blank=True, decimal_places=3, max_digits=4, null=True),
        ),
        migrations.AddField(
            model_name="axle", name="load_psi", field=models.PositiveSmallIntegerField(blank=True, null=True)
        ),
        migrations.RemoveConstraint(model_name="axle", name="axle_chamber_known"),
        migrations.AddConstraint(
            model_name="axle",
            constraint=models.CheckConstraint(
                condition=models.Q(("chamber_type", ""), ("chamber_type__in", CHAMBERS), _connector="OR"),
                name="axle_chamber_known",
            ),
        ),
        migrations.AddField(
            model_name="tractordetails",
            name="governor_cut_in_psi",
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="tractordetails",
            name="governor_cut_out_psi",
            field=models.PositiveSmallIntegerField(blank=True, null=True),
        ),
        migrations.AlterField(
            model_name="coolingunitdetails",
            name="burn_gal_per_h",
            field=models.DecimalField(blank=True, decimal_places=3, max_digits=5, null=True),
        ),
    ]
