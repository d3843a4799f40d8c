"""Readings that a job learns from; those on record have been learned from as they came."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0009_whereabouts"),
    ]

    operations = [
        migrations.AddField(
            model_name="coolingreading",
            name="is_learned",
            field=models.BooleanField(db_default=True, default=False),
        ),
        migrations.AddIndex(
            model_name="coolingreading",
            index=models.Index(
                condition=models.Q(("is_learned", False)), fields=["unit"], name="cooling_reading_to_learn"
            ),
        ),
    ]
