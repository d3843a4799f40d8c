"""What is marked on the drums and rotors of an axle: the largest diameter and the least thickness."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0004_barred_unit_on_road")]

    operations = [
        migrations.AddField(
            "axle", "drum_limit_in", models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
        ),
        migrations.AddField(
            "axle", "rotor_limit_in", models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
        ),
    ]
