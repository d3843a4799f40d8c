CREATE OR REPLACE FUNCTION public.purge_due_scans(today date, among uuid[], at_most integer)
 RETURNS TABLE(what text, record uuid, unit uuid, unit_name text, subject uuid, event text, record_kind text, retained_until date, content_hash text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT 'scan', document.id, document.unit_id,
           coalesce(unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END || unit.owner, ''),
           coalesce(document.unit_id, document.person_id), '', document.scan_record_kind,
           public.retained_until('maintenance', document.scan_retained_until, unit.retired_on), document.file_id
      FROM public.fleet_document AS document
      LEFT JOIN public.fleet_unit AS unit ON unit.id = document.unit_id
     WHERE document.superseded_at IS NOT NULL AND document.file_id IS NOT NULL
       AND document.scan_retained_until < today
       AND (among IS NULL OR document.id = ANY (among))
       AND document.recorded_at < today - interval '1 year' AND document.superseded_at < today
       AND public.retained_until('maintenance', document.scan_retained_until, unit.retired_on) < today
       AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                        WHERE hold.unit_id = document.unit_id AND hold.lifted_at IS NULL)
       AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion
                        WHERE deletion.what = 'scan' AND deletion.record = document.id)
     ORDER BY document.scan_retained_until, document.id
     LIMIT at_most $function$;
