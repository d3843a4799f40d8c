"""The second look at a refused unit, signed by an outsider's link."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("defects", "0019_seal_read")]

    operations = [
        migrations.AddField(
            model_name="signinglink",
            name="refusal",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="signing_links",
                to="defects.refusal",
            ),
        ),
        migrations.AddField(
            model_name="secondlook",
            name="link",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="second_looks",
                to="defects.signinglink",
            ),
        ),
        migrations.AddField(
            model_name="secondlook",
            name="signature",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="second_look",
                to="fleet.signature",
            ),
        ),
    ]
