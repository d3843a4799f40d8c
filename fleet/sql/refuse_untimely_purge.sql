CREATE OR REPLACE FUNCTION public.refuse_untimely_purge(today date)
 RETURNS void
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    IF today > current_date THEN
        RAISE EXCEPTION 'a purge cannot run ahead of the clock' USING ERRCODE = 'check_violation';
    END IF;
    IF current_setting('transaction_isolation') <> 'read committed' THEN
        RAISE EXCEPTION 'a purge runs in a transaction that reads what is committed' USING ERRCODE = 'check_violation';
    END IF;
END $function$;
