from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0030_signed_setting_aside")]

    operations = [
        migrations.AddField("person", "sign_in_given", models.BooleanField(db_default=False, default=False)),
        migrations.AlterField(
            "signinattempt", "subject", models.CharField(max_length=120, primary_key=True, serialize=False)
        ),
        migrations.AddField(
            "qualification",
            "ended_by",
            models.ForeignKey(blank=True, null=True, on_delete=models.PROTECT, related_name="+", to="fleet.person"),
        ),
        migrations.AddField("qualification", "ended_at", models.DateTimeField(blank=True, null=True)),
    ]
