"""The permits by which a load may weigh more than the limits."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0012_limited_move_from"),
    ]

    operations = [
        migrations.AddField(
            model_name="load",
            name="overweight_permits",
            field=models.JSONField(blank=True, db_default=[], default=list),
        ),
    ]
