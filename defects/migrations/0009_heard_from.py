"""Who told the driver of a fault that he did not find himself, and when."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0008_one_file_for_each_photo"),
    ]

    operations = [
        migrations.AddField(
            model_name=model,
            name=name,
            field=field,
        )
        for model in ("defect", "sighting")
        for name, field in (
            ("heard_from", models.CharField(blank=True, db_default="", default="", max_length=160)),
            ("heard_at", models.DateTimeField(blank=True, null=True)),
        )
    ]
