"""The State of a roadside inspection is called so, beside the states of rows; its column keeps its name."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("defects", "0002_columns_of_the_glossary")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.AlterField("roadsideinspection", "state", models.CharField(max_length=2, db_column="state")),
                migrations.RenameField("roadsideinspection", "state", "us_state"),
            ],
        ),
    ]
