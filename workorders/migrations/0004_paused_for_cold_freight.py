"""Whether a unit whose task is paused may carry cold freight with what is undone."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("workorders", "0003_work_under_way")]

    operations = [
        migrations.AddField(model_name="repairtask", name="cold_freight_too", field=models.BooleanField(default=False))
    ]
