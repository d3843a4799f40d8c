CREATE OR REPLACE FUNCTION public.ask_for_file_removal(files text[])
 RETURNS void
 LANGUAGE sql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    INSERT INTO public.fleet_fileremoval (file_id, asked_at)
    SELECT DISTINCT file, now() FROM unnest(files) AS file
        ON CONFLICT (file_id) DO UPDATE SET asked_at = excluded.asked_at, done_at = NULL $function$;
