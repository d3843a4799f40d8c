CREATE OR REPLACE FUNCTION public.request_file_removal(files text[])
 RETURNS void
 LANGUAGE sql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    INSERT INTO public.fleet_fileremoval (file_id, requested_at)
    SELECT DISTINCT file, now() FROM unnest(files) AS file
        ON CONFLICT (file_id) DO UPDATE SET requested_at = excluded.requested_at, done_at = NULL $function$;
