from django.db import migrations, models
from django.db.models.functions import Now

# The key of a delivery is a UUIDv7 (RFC 9562): its first 48 bits are the millisecond in which it was made.
MADE_AT = """
UPDATE fleet_delivery
   SET owed_at = to_timestamp(('x' || left(replace(id::text, '-', ''), 12))::bit(48)::bigint / 1000.0)
"""


class Migration(migrations.Migration):
    dependencies = [("fleet", "0021_what_limits_hang_on")]

    operations = [
        migrations.AddField("delivery", "owed_at", models.DateTimeField(db_default=Now())),
        migrations.RunSQL(MADE_AT, migrations.RunSQL.noop),
        migrations.AlterField(
            "delivery",
            "state",
            models.CharField(
                choices=[
                    ("owed", "owed"),
                    ("sent", "sent"),
                    ("parked", "parked"),
                    ("dropped", "dropped"),
                ],
                default="owed",
                max_length=8,
            ),
        ),
    ]
