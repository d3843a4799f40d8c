CREATE OR REPLACE FUNCTION public.purge_set_dates(entries uuid[], kinds text[], days date[])
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    dated integer;
BEGIN
    UPDATE public.fleet_historycontent AS content
       SET record_kind = given.kind, retained_until = given.day
      FROM unnest(entries, kinds, days) AS given (entry, kind, day)
     WHERE content.entry_id = given.entry AND content.record_kind = '' AND content.retained_until IS NULL;
    GET DIAGNOSTICS dated = ROW_COUNT;
    RETURN dated;
END $function$;
