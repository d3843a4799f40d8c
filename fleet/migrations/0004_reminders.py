"""The step of a reminder on its notice, and the index that finds late papers nobody acknowledged."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Adds one column and one index."""

    dependencies = [("fleet", "0003_refusal_notices")]
    operations = [
        migrations.AddField("notice", "step", models.CharField(blank=True, default="", max_length=60)),
        migrations.AddIndex(
            "notice",
            models.Index(
                condition=models.Q(
                    ("acknowledged_at__isnull", True),
                    ("code__in", ("document_overdue", "document_missing")),
                    ("escalated_at__isnull", True),
                ),
                fields=["owed_at"],
                name="notice_paper_to_escalate",
            ),
        ),
    ]
