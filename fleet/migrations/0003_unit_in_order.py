"""Units in the order of their lists, so that a page of a large fleet reads its own rows and sorts none."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0002_columns_of_the_glossary")]

    operations = [
        migrations.AddIndex("unit", models.Index("number", "id", name="unit_in_order")),
    ]
