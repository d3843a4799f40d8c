"""That the database was restored from a backup."""

import common.ids
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0033_queue_report")]

    operations = [
        migrations.CreateModel(
            name="Restore",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("backed_up_at", models.DateTimeField()),
                ("restored_at", models.DateTimeField()),
                ("restored_by", models.CharField(max_length=160)),
                ("known_until", models.DateField(blank=True, null=True)),
                ("lengths", models.JSONField()),
            ],
        ),
        migrations.RunSQL(
            "SELECT keep_append_only('fleet_restore')",
            "DROP TRIGGER append_only ON fleet_restore; DROP TRIGGER append_only_whole ON fleet_restore;",
        ),
    ]
