"""What each report says was looked at, and what it left without an answer; deleted with the report's other lists."""

from django.db import migrations, models

LISTS = """
CREATE OR REPLACE FUNCTION refuse_report_change() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    lists CONSTANT text[] := ARRAY[{names}, 'checks_schema'];
BEGIN
    IF TG_OP = 'UPDATE' AND (to_jsonb(NEW) - lists) = (to_jsonb(OLD) - lists)
       AND ({new}) = ({empty}) AND NEW.checks_schema = 0
       AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                    WHERE deletion.what = 'report_checks' AND deletion.record = OLD.id) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'defects_report is append-only' USING ERRCODE = 'restrict_violation';
END $$;

CREATE OR REPLACE FUNCTION take_report_along() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp
AS $$
BEGIN
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, kept_until,
                                       rule, source, content_hash, deleted_at, sweep)
    SELECT gen_random_uuid(), 'report_checks', report.id, NEW.unit_id, NEW.unit_name, report.walkaround_id, '',
           NEW.record_kind, NEW.kept_until, NEW.rule, NEW.source, walkaround.body_hash, NEW.deleted_at, NEW.sweep
      FROM public.defects_report AS report
      JOIN public.defects_walkaround AS walkaround ON walkaround.id = report.walkaround_id
     WHERE report.id = NEW.subject
        ON CONFLICT DO NOTHING;
    UPDATE public.defects_report SET {emptied}, checks_schema = 0
     WHERE id = NEW.subject;
    RETURN NULL;
END $$;
"""


def _lists(*names: str) -> str:
    return LISTS.format(
        names=", ".join(f"'{name}'" for name in names),
        new=", ".join(f"NEW.{name}" for name in names),
        empty=", ".join("'[]'::jsonb" for _ in names),
        emptied=", ".join(f"{name} = '[]'" for name in names),
    )


BEFORE = ("checks", "faults", "queried")


class Migration(migrations.Migration):
    dependencies = [("defects", "0009_loads_cycling")]

    operations = [
        migrations.AddField("report", "looked_at", models.JSONField(default=list)),
        migrations.AddField("report", "places_asked", models.PositiveSmallIntegerField(default=0)),
        migrations.AddField("report", "places_covered", models.PositiveSmallIntegerField(default=0)),
        migrations.AddField("report", "left_open", models.JSONField(default=list)),
        migrations.RunSQL(_lists(*BEFORE, "looked_at", "left_open"), _lists(*BEFORE)),
    ]
