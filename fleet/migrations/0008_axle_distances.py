"""Where axles stand and what their tires may carry: what weights on the road are judged by."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0007_cooling_readings")]

    operations = [
        migrations.AddField("axle", "spacing_in", models.PositiveSmallIntegerField(blank=True, null=True)),
        migrations.AddField("axle", "tire_rating_lb", models.PositiveIntegerField(blank=True, null=True)),
        migrations.AddField(
            "tractordetails", "fifth_wheel_to_rear_axle_in", models.PositiveSmallIntegerField(blank=True, null=True)
        ),
        migrations.AddField(
            "trailerdetails", "kingpin_to_rear_axle_in", models.PositiveSmallIntegerField(blank=True, null=True)
        ),
        migrations.AddField(
            "trailerdetails", "slider_hole_in", models.PositiveSmallIntegerField(blank=True, null=True)
        ),
    ]
