"""What was signed in the field, whole, where it was read otherwise; and walks of a kind that is not known here."""

import django.db.models
from django.db import migrations, models

# Runs as the owner, like taking the reports' lists along: the whole text goes with the last report in it.
TAKE_ALONG = """
CREATE FUNCTION refuse_sent_body_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'UPDATE' AND (to_jsonb(NEW) - 'text') = (to_jsonb(OLD) - 'text') AND NEW.text = ''
       AND EXISTS (SELECT FROM public.defects_report AS report WHERE report.walkaround_id = OLD.id)
       AND NOT EXISTS (SELECT FROM public.defects_report AS report
                        WHERE report.walkaround_id = OLD.id AND report.unit_id IS NOT NULL
                          AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion
                                           WHERE deletion.what = 'report_checks' AND deletion.record = report.id)) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'defects_sentbody is append-only' USING ERRCODE = 'restrict_violation';
END $$;
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON defects_sentbody
    FOR EACH ROW EXECUTE FUNCTION refuse_sent_body_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_sentbody
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

CREATE FUNCTION take_sent_body_along() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    UPDATE public.defects_sentbody AS sent SET text = ''
     WHERE sent.id = NEW.walkaround_id AND sent.text <> ''
       AND NOT EXISTS (SELECT FROM public.defects_report AS report
                        WHERE report.walkaround_id = sent.id AND report.unit_id IS NOT NULL AND report.checks_schema <> 0);
    RETURN NULL;
END $$;
CREATE TRIGGER take_sent_body_along AFTER UPDATE ON defects_report FOR EACH ROW
    WHEN (NEW.checks_schema = 0) EXECUTE FUNCTION take_sent_body_along();
"""

TAKE_ALONG_BACK = """
DROP TRIGGER take_sent_body_along ON defects_report;
DROP FUNCTION take_sent_body_along();
DROP TRIGGER append_only_whole ON defects_sentbody;
DROP TRIGGER append_only ON defects_sentbody;
DROP FUNCTION refuse_sent_body_change();
"""

KINDS = ["pre_trip", "en_route", "post_trip", "pick_up", "drop", "other"]


class Migration(migrations.Migration):
    dependencies = [("defects", "0013_food_bars"), ("fleet", "0023_signed_in_another_way")]

    operations = [
        migrations.CreateModel(
            name="SentBody",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("text", models.TextField()),
                ("received_at", models.DateTimeField()),
            ],
        ),
        migrations.RemoveConstraint(model_name="walkaround", name="walkaround_kind_known"),
        migrations.AlterField(
            model_name="walkaround",
            name="kind",
            field=models.CharField(
                choices=[
                    ("pre_trip", "pre_trip"),
                    ("en_route", "en_route"),
                    ("post_trip", "post_trip"),
                    ("pick_up", "pick_up"),
                    ("drop", "drop"),
                    ("other", "other"),
                ],
                max_length=12,
            ),
        ),
        migrations.AddConstraint(
            model_name="walkaround",
            constraint=models.CheckConstraint(
                condition=django.db.models.Q(("kind__in", KINDS)), name="walkaround_kind_known"
            ),
        ),
        migrations.RunSQL(TAKE_ALONG, TAKE_ALONG_BACK),
    ]
