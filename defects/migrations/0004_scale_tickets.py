"""Scale tickets with their pictures, and what the dock tells of a load: weight, product temperature, doors."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F, Q

import common.ids

FUNCTION = r"""
CREATE OR REPLACE FUNCTION public.take_photo_along()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    IF EXISTS (SELECT FROM public.fleet_historyentry AS entry
                WHERE entry.subject = NEW.subject AND entry.kind = 'photo_received'
                  AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion WHERE deletion.entry_id = entry.id)) THEN
        RETURN NULL;
    END IF;
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, retained_until,
                                       rule, source, content_hash, deleted_at, run)
    SELECT gen_random_uuid(), 'photo', photo.id, NEW.unit_id, NEW.unit_name,
           coalesce(photo.defect_id, photo.walkaround_id, photo.load_id), '', NEW.record_kind, NEW.retained_until, NEW.rule, NEW.source,
           photo.original_id, NEW.deleted_at, NEW.run
      FROM public.defects_photo AS photo
     WHERE photo.id = NEW.subject
        ON CONFLICT DO NOTHING;
    PERFORM public.request_file_removal(
                array_remove(ARRAY[photo.original_id, photo.without_location_id]::text[], NULL))
       FROM public.defects_photo AS photo WHERE photo.id = NEW.subject;
    RETURN NULL;
END $function$;
"""
BACK = FUNCTION.replace(", photo.load_id)", ")")


class Migration(migrations.Migration):
    dependencies = [("defects", "0003_us_state"), ("fleet", "0008_axle_distances")]

    operations = [
        migrations.AddField("load", "weight_lb", models.PositiveIntegerField(blank=True, null=True)),
        migrations.AddField(
            "load", "product_f", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)
        ),
        migrations.AddField("load", "doors_opened_at", models.DateTimeField(blank=True, null=True)),
        migrations.AddField("load", "doors_closed_at", models.DateTimeField(blank=True, null=True)),
        migrations.AddConstraint(
            "load",
            models.CheckConstraint(
                condition=Q(doors_opened_at__isnull=True)
                | Q(doors_closed_at__isnull=True)
                | Q(doors_closed_at__gte=F("doors_opened_at")),
                name="load_doors_closed_after_opening",
            ),
        ),
        migrations.CreateModel(
            "ScaleTicket",
            [
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "load",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="scale_tickets", to="defects.load"
                    ),
                ),
                (
                    "tractor",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="fleet.unit"),
                ),
                (
                    "trailer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="scale_tickets", to="fleet.unit"
                    ),
                ),
                ("scale", models.CharField(max_length=120)),
                ("number", models.CharField(blank=True, default="", max_length=40)),
                ("weighed_at", models.DateTimeField()),
                ("groups", models.JSONField()),
                ("gross_lb", models.PositiveIntegerField()),
                ("photo", models.CharField(blank=True, default="", max_length=64)),
                ("flags", models.JSONField(default=list)),
                ("recorded_at", models.DateTimeField()),
                (
                    "recorded_by",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="fleet.person"),
                ),
            ],
            options={
                "constraints": (models.CheckConstraint(condition=Q(gross_lb__gt=0), name="scale_ticket_weighs"),),
                "indexes": [models.Index(fields=["load", "-weighed_at", "-recorded_at"], name="scale_ticket_newest")],
            },
        ),
        migrations.AddField(
            "photo",
            "load",
            models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="photos",
                to="defects.load",
            ),
        ),
        migrations.RemoveConstraint("photo", "photo_once_for_its_subject"),
        migrations.RemoveConstraint("photo", "photo_of_one_subject"),
        migrations.AddConstraint(
            "photo",
            models.UniqueConstraint(
                fields=("walkaround", "defect", "load", "original"),
                nulls_distinct=False,
                name="photo_once_for_each_subject",
            ),
        ),
        migrations.AddConstraint(
            "photo",
            models.CheckConstraint(
                condition=Q(walkaround__isnull=True, defect__isnull=False, load__isnull=True)
                | Q(walkaround__isnull=False, defect__isnull=True, load__isnull=True)
                | Q(walkaround__isnull=True, defect__isnull=True, load__isnull=False),
                name="photo_of_one_of_three",
            ),
        ),
        migrations.RunSQL(FUNCTION, BACK),
    ]
