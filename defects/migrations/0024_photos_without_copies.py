"""No copy of a photo is stored any more: what most are shown is made from the original.

The column of the copies stays for the release before, which still writes it; a purged photo's copy goes by it too.
"""

import django.db.models.deletion
from django.db import migrations, models

PHOTOS = """
CREATE OR REPLACE FUNCTION take_photo_along() RETURNS trigger
    LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    IF EXISTS (SELECT FROM public.fleet_historyentry AS entry
                WHERE entry.subject = NEW.subject AND entry.kind = 'photo_received'
                  AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion WHERE deletion.entry_id = entry.id)) THEN
        RETURN NULL;
    END IF;
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, kept_until,
                                       rule, source, content_hash, deleted_at, sweep)
    SELECT gen_random_uuid(), 'photo', photo.id, NEW.unit_id, NEW.unit_name,
           coalesce(photo.defect_id, photo.walkaround_id), '', NEW.record_kind, NEW.kept_until, NEW.rule, NEW.source,
           photo.original_id, NEW.deleted_at, NEW.sweep
      FROM public.defects_photo AS photo
     WHERE photo.id = NEW.subject
        ON CONFLICT DO NOTHING;
    PERFORM public.ask_for_file_removal(
                array_remove(ARRAY[photo.original_id, photo.without_location_id]::text[], NULL))
       FROM public.defects_photo AS photo WHERE photo.id = NEW.subject;
    RETURN NULL;
END $$;
"""
LEFT = "ALTER TABLE defects_photo ALTER COLUMN without_location_id DROP NOT NULL"
BACK = """
DO $$ BEGIN
    IF EXISTS (SELECT FROM defects_photo WHERE without_location_id IS NULL) THEN
        RAISE EXCEPTION 'photos came in that the release before cannot show: it wants a copy of each stored';
    END IF;
END $$;
ALTER TABLE defects_photo ALTER COLUMN without_location_id SET NOT NULL;
"""


class Migration(migrations.Migration):
    dependencies = [("defects", "0023_paused_for_cold_freight"), ("fleet", "0001_tables")]

    operations = [
        migrations.AddField(model_name="photo", name="is_picture", field=models.BooleanField(db_default=True)),
        migrations.AlterField(
            model_name="photo",
            name="received_from",
            field=models.ForeignKey(
                db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="fleet.person"
            ),
        ),
        migrations.AddIndex(
            model_name="photo",
            index=models.Index(fields=("received_from", "received_at"), name="photo_by_who_sent_it"),
        ),
        migrations.SeparateDatabaseAndState(
            database_operations=[migrations.RunSQL(PHOTOS, migrations.RunSQL.noop), migrations.RunSQL(LEFT, BACK)],
            state_operations=[migrations.RemoveField(model_name="photo", name="without_location")],
        ),
    ]
