CREATE OR REPLACE FUNCTION public.refuse_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $function$;

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_catalogueversion FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_catalogueversion FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_certificate FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_certificate FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_certificate_worked_by FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_certificate_worked_by FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_clearance FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_clearance FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_clearance_units FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_clearance_units FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_driverreview FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_driverreview FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_driverreview_certificates FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_driverreview_certificates FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_driverreview_reports FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_driverreview_reports FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_entryinerror FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_entryinerror FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_firmconfirmation FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_firmconfirmation FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_hold FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_measurement FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_measurement FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_photo FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_photo FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_refusal FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_refusal FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_refusal_defects FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_refusal_defects FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_repeatedtest FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_repeatedtest FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_report FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_riskentry FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_riskentry FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_roadsideinspection_units FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_roadsideinspection_units FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_roadsideviolation FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_roadsideviolation FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_secondlook FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_secondlook FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_sentbody FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_setaside FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_setaside FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_sighting FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_sighting FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_walkaround FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_walkaround FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_yardmove FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.defects_yardmove FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.fleet_deletion FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.fleet_deletion FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.fleet_historycontent FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.fleet_historyentry FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.fleet_historyentry FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.fleet_legalhold FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.fleet_policy FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.fleet_policy FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.fleet_restore FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.fleet_restore FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.fleet_signature FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON public.fleet_signature FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
