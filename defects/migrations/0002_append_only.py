"""Facts from the field and signed statements are kept append-only by the database; a hold can be lifted once."""

from django.db import migrations

APPEND_ONLY = (
    "defects_catalogueversion",
    "defects_walkaround",
    "defects_report",
    "defects_measurement",
    "defects_photo",
    "defects_sighting",
    "defects_certificate",
    "defects_certificate_worked_by",
    "defects_driverreview",
    "defects_driverreview_reports",
    "defects_driverreview_certificates",
    "defects_refusal",
    "defects_refusal_defects",
    "defects_secondlook",
    "defects_yardmove",
    "defects_clearance",
    "defects_clearance_units",
    "defects_riskentry",
    "defects_roadsideinspection_units",
    "defects_roadsideviolation",
)

HOLD = """
CREATE FUNCTION refuse_hold_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'UPDATE' AND OLD.lifted_at IS NULL AND NEW.lifted_at IS NOT NULL
       AND (to_jsonb(NEW) - ARRAY['lifted_at', 'lifted_by_id', 'lift_signature_id', 'lift_reason', 'lift_flag'])
         = (to_jsonb(OLD) - ARRAY['lifted_at', 'lifted_by_id', 'lift_signature_id', 'lift_reason', 'lift_flag']) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'a hold is lifted once and changed in nothing else' USING ERRCODE = 'restrict_violation';
END $$;
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON defects_hold
    FOR EACH ROW EXECUTE FUNCTION refuse_hold_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_hold
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
"""

HOLD_BACK = """
DROP TRIGGER append_only ON defects_hold;
DROP TRIGGER append_only_whole ON defects_hold;
DROP FUNCTION refuse_hold_change();
"""


class Migration(migrations.Migration):
    dependencies = [("defects", "0001_tables"), ("fleet", "0002_append_only")]

    operations = [
        *[
            migrations.RunSQL(
                f"SELECT keep_append_only('{table}')",
                f"DROP TRIGGER append_only ON {table}; DROP TRIGGER append_only_whole ON {table};",
            )
            for table in APPEND_ONLY
        ],
        migrations.RunSQL(HOLD, HOLD_BACK),
    ]
