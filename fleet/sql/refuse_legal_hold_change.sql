CREATE OR REPLACE FUNCTION public.refuse_legal_hold_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    IF TG_OP = 'UPDATE' AND OLD.lifted_at IS NULL AND NEW.lifted_at IS NOT NULL
       AND (to_jsonb(NEW) - ARRAY['lifted_at', 'lifted_by_id', 'lift_reason'])
         = (to_jsonb(OLD) - ARRAY['lifted_at', 'lifted_by_id', 'lift_reason']) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'a legal hold is lifted once and changed in nothing else' USING ERRCODE = 'restrict_violation';
END $function$;

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.fleet_legalhold FOR EACH ROW EXECUTE FUNCTION refuse_legal_hold_change();
