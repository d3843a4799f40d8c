"""Who gave and ended a role, and when; an administrator is one everywhere or has ended. One of a site is ended first."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):
    dependencies = [("fleet", "0015_faults_to_grade")]

    operations = [
        migrations.AddField(
            "personrole",
            "granted_by",
            models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField("personrole", "granted_at", models.DateTimeField(blank=True, null=True)),
        migrations.AddField(
            "personrole",
            "ended_by",
            models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField("personrole", "ended_at", models.DateTimeField(blank=True, null=True)),
        migrations.AddField("personrole", "console_reason", models.CharField(blank=True, default="", max_length=400)),
        migrations.AddField("policy", "from_console", models.BooleanField(default=False)),
        migrations.AddConstraint(
            "personrole",
            models.CheckConstraint(
                condition=~Q(role="administrator") | Q(site__isnull=True) | Q(ends_on__isnull=False),
                name="person_role_administrator_everywhere",
            ),
        ),
    ]
