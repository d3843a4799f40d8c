CREATE OR REPLACE FUNCTION public.purge_due_scans(today date, among uuid[], at_most integer)
 RETURNS TABLE(what text, record uuid, unit uuid, unit_name text, subject uuid, event text, record_kind text, kept_until date, content_hash text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT 'scan', paper.id, paper.unit_id,
           coalesce(unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END || unit.owner, ''),
           coalesce(paper.unit_id, paper.person_id), '', paper.scan_record_kind,
           public.kept_until('maintenance', paper.scan_kept_until, unit.retired_on), paper.file_id
      FROM public.fleet_document AS paper
      LEFT JOIN public.fleet_unit AS unit ON unit.id = paper.unit_id
     WHERE paper.replaced_at IS NOT NULL AND paper.file_id IS NOT NULL
       AND paper.scan_kept_until < today
       AND (among IS NULL OR paper.id = ANY (among))
       AND paper.recorded_at < today - interval '1 year' AND paper.replaced_at < today
       AND public.kept_until('maintenance', paper.scan_kept_until, unit.retired_on) < today
       AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                        WHERE hold.unit_id = paper.unit_id AND hold.lifted_at IS NULL)
       AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion
                        WHERE deletion.what = 'scan' AND deletion.record = paper.id)
     ORDER BY paper.scan_kept_until, paper.id
     LIMIT at_most $function$;
