"""The index behind the list and the count of messages that could not leave."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Adds one index."""

    dependencies = [("fleet", "0005_reminders")]
    operations = [
        migrations.AddIndex(
            "delivery",
            models.Index(
                condition=models.Q(("state", "parked")), fields=["next_try_at", "id"], name="delivery_parked_by_time"
            ),
        ),
    ]
