"""By which request or sweep a delivery is owed; empty for those from before."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0031_own_passwords")]

    operations = [
        migrations.AddField("delivery", "cause", models.CharField(max_length=64, blank=True, default="", db_default=""))
    ]
