"""The index by which a unit's newest walk is found: of one instant, the last received comes first."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("defects", "0006_standing_bars")]

    operations = [
        migrations.RemoveIndex(model_name="report", name="report_unit_newest"),
        migrations.AddIndex(
            model_name="report",
            index=models.Index(fields=["unit", "-performed_at", "-id"], name="report_unit_newest"),
        ),
    ]
