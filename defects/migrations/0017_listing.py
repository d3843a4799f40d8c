"""Why a defect is on the certified list, or that it is noted for the shop beside it."""

from django.db import migrations, models

LISTINGS = [
    ("safety", "safety"),
    ("breakdown", "breakdown"),
    ("regulation", "regulation"),
    ("driver", "driver"),
    ("ungraded", "ungraded"),
    ("foreman", "foreman"),
    ("officer", "officer"),
    ("noted", "noted"),
]


class Migration(migrations.Migration):
    dependencies = [("defects", "0016_work_in_progress")]

    operations = [
        migrations.AddField(
            model_name="defect",
            name="listing",
            field=models.CharField(choices=LISTINGS, default="noted", max_length=12),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            model_name="defect",
            constraint=models.CheckConstraint(
                condition=models.Q(listing__in=[name for name, _ in LISTINGS]), name="defect_listing_known"
            ),
        ),
    ]
