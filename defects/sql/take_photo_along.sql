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

CREATE TRIGGER take_photo_along AFTER INSERT ON public.fleet_deletion FOR EACH ROW WHEN ((((new.what)::text = 'history_content'::text) AND ((new.event)::text = 'photo_received'::text))) EXECUTE FUNCTION take_photo_along();
