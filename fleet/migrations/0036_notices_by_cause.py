"""A notification names the signed body that brought it about, so that its receipt finds it again."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0035_ends_of_feeds_and_webhooks")]

    operations = [
        migrations.AddField("notice", "caused_by", models.UUIDField(blank=True, null=True)),
        migrations.AddIndex(
            "notice",
            models.Index(
                fields=["caused_by"], condition=models.Q(("caused_by__isnull", False)), name="notice_by_cause"
            ),
        ),
    ]
