"""A photo has its original alone: the copy that an early release stored beside it goes (decision 47)."""

from django.db import migrations

COPY_AND_FILE = r"""
SELECT public.request_file_removal(array_agg(without_location_id::text))
  FROM public.defects_photo WHERE without_location_id IS NOT NULL;
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
    PERFORM public.request_file_removal(ARRAY[photo.original_id]::text[])
       FROM public.defects_photo AS photo WHERE photo.id = NEW.subject;
    RETURN NULL;
END $function$;
ALTER TABLE public.defects_photo DROP COLUMN without_location_id;
"""
BACK = r"""
-- The function as it stands reads no copy, and none is left for it to read.
ALTER TABLE public.defects_photo ADD COLUMN without_location_id varchar(64)
    REFERENCES public.fleet_storedfile (sha256) DEFERRABLE INITIALLY DEFERRED;
CREATE INDEX defects_photo_without_location ON public.defects_photo (without_location_id);
"""


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0007_states_of_clearance"),
    ]

    operations = [migrations.RunSQL(COPY_AND_FILE, BACK)]
