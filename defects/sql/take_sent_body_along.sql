CREATE OR REPLACE FUNCTION public.take_sent_body_along()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    UPDATE public.defects_sentbody AS sent SET text = ''
     WHERE sent.id = NEW.walkaround_id AND sent.text <> ''
       AND NOT EXISTS (SELECT FROM public.defects_report AS report
                        WHERE report.walkaround_id = sent.id AND report.unit_id IS NOT NULL AND report.checks_schema <> 0);
    RETURN NULL;
END $function$;

CREATE TRIGGER take_sent_body_along AFTER UPDATE ON public.defects_report FOR EACH ROW WHEN ((new.checks_schema = 0)) EXECUTE FUNCTION take_sent_body_along();
