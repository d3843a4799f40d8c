"""Whether a unit whose work is paused may carry cold freight with what is undone."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("defects", "0022_reports_set_aside")]

    operations = [
        migrations.AddField(
            model_name="workinprogress", name="cold_freight_too", field=models.BooleanField(default=False)
        )
    ]
