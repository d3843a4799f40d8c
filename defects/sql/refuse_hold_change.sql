CREATE OR REPLACE FUNCTION public.refuse_hold_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    IF TG_OP = 'UPDATE' AND OLD.lifted_at IS NULL AND NEW.lifted_at IS NOT NULL
       AND (to_jsonb(NEW) - ARRAY['lifted_at', 'lifted_by_id', 'lift_signature_id', 'lift_reason', 'lift_flag'])
         = (to_jsonb(OLD) - ARRAY['lifted_at', 'lifted_by_id', 'lift_signature_id', 'lift_reason', 'lift_flag']) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'a hold is lifted once and changed in nothing else' USING ERRCODE = 'restrict_violation';
END $function$;

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_hold FOR EACH ROW EXECUTE FUNCTION refuse_hold_change();
