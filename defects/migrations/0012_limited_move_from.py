"""The odometer's total where a limited move begins, from which its miles are counted."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0011_us_states_and_what_was_found"),
    ]

    operations = [
        migrations.AddField(
            model_name="limitedmove",
            name="from_mi",
            field=models.DecimalField(blank=True, decimal_places=1, max_digits=12, null=True),
        ),
    ]
