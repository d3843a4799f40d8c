"""Why a defect is on the certified list, or that it is noted for the shop beside it."""

from django.db import migrations, models

LISTINGS = [
    ("safety", "would affect the safety of operation"),
    ("breakdown", "would result in a mechanical breakdown"),
    ("regulation", "a regulation asks for it"),
    ("driver", "listed by the driver"),
    ("ungraded", "in the driver's words, not graded yet"),
    ("foreman", "listed by the foreman"),
    ("officer", "on an officer's report"),
    ("noted", "noted for the shop"),
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
