"""The State that gave a document is called so, beside the states of rows; its column keeps its name."""

from django.db import migrations, models
from django.db.models import Q

CONSTRAINT = "document_one_current"


class Migration(migrations.Migration):
    dependencies = [("fleet", "0005_limits_marked_on_brakes")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.RemoveConstraint("document", CONSTRAINT),
                migrations.AlterField(
                    "document", "state", models.CharField(max_length=2, blank=True, default="", db_column="state")
                ),
                migrations.RenameField("document", "state", "us_state"),
                migrations.AddConstraint(
                    "document",
                    models.UniqueConstraint(
                        fields=("kind", "unit", "person", "us_state"),
                        condition=Q(superseded_at__isnull=True),
                        nulls_distinct=False,
                        name=CONSTRAINT,
                    ),
                ),
            ],
        ),
    ]
