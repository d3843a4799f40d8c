"""The mode in which a cooling unit starts and stops by itself is called cycling, as the catalogue says it."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("defects", "0007_newest_report")]

    operations = [
        migrations.AlterField(
            model_name="load",
            name="mode",
            field=models.CharField(
                blank=True,
                choices=[("continuous", "continuous"), ("cycling", "cycling")],
                default="",
                max_length=12,
            ),
        )
    ]
