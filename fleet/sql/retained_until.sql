CREATE OR REPLACE FUNCTION public.retained_until(record_kind text, stored date, left_control_on date)
 RETURNS date
 LANGUAGE sql
 IMMUTABLE
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT CASE WHEN record_kind = 'maintenance'
                THEN greatest(stored, (left_control_on + interval '6 months')::date) ELSE stored END $function$;
