"""How cold loads kept to their range."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0005_tire_mountings"),
    ]

    operations = [
        migrations.CreateModel(
            name="LoadTemperature",
            fields=[
                (
                    "load",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="temperature",
                        serialize=False,
                        to="defects.load",
                    ),
                ),
                ("degree_min", models.PositiveIntegerField()),
                ("longest_min", models.PositiveIntegerField()),
                ("longest_until", models.DateTimeField(blank=True, null=True)),
                ("known_min", models.PositiveIntegerField()),
                ("computed_at", models.DateTimeField()),
            ],
        ),
    ]
