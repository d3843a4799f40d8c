from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0018_proven_inspectors")]

    operations = [
        migrations.CreateModel(
            name="SweepRun",
            fields=[
                ("name", models.CharField(max_length=40, primary_key=True, serialize=False)),
                ("ended_well_at", models.DateTimeField(blank=True, null=True)),
                ("failed_at", models.DateTimeField(blank=True, null=True)),
            ],
        ),
    ]
