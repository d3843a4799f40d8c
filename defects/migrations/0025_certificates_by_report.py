"""A certificate signed in a walk-around names its report. What is stored is found by the instant this one last time."""

from django.db import migrations, models

FILL = """
ALTER TABLE defects_certificate DISABLE TRIGGER append_only;
UPDATE defects_certificate AS certificate SET report_id = report.id
  FROM defects_report AS report
  JOIN defects_walkaround AS walkaround ON walkaround.id = report.walkaround_id,
       fleet_signature AS signature, defects_defect AS defect
 WHERE signature.id = certificate.signature_id AND defect.id = certificate.defect_id
   AND certificate.corrected_on_the_spot AND signature.signer_id = walkaround.person_id
   AND certificate.recorded_at = coalesce(report.unit_assigned_at, walkaround.received_at)
   AND defect.unit_id = report.unit_id;
ALTER TABLE defects_certificate ENABLE TRIGGER append_only;
UPDATE fleet_notice AS notice SET caused_by = cause.walkaround
  FROM (SELECT report.id AS subject, report.walkaround_id AS walkaround, report.id AS report FROM defects_report AS report
         UNION
        SELECT sighting.defect_id, report.walkaround_id, report.id
          FROM defects_sighting AS sighting JOIN defects_report AS report ON report.id = sighting.report_id
         UNION
        SELECT hold.id, report.walkaround_id, report.id
          FROM defects_hold AS hold JOIN defects_sighting AS sighting ON sighting.defect_id = hold.defect_id
          JOIN defects_report AS report ON report.id = sighting.report_id
         UNION
        SELECT risk.id, report.walkaround_id, report.id
          FROM defects_loadatrisk AS risk JOIN defects_sighting AS sighting ON sighting.defect_id = risk.defect_id
          JOIN defects_report AS report ON report.id = sighting.report_id) AS cause
  JOIN defects_walkaround AS walkaround ON walkaround.id = cause.walkaround
  JOIN defects_report AS report ON report.id = cause.report
 WHERE notice.subject_id = cause.subject
   AND notice.owed_at IN (walkaround.received_at, report.unit_assigned_at);
"""


class Migration(migrations.Migration):
    dependencies = [("defects", "0024_photos_without_copies"), ("fleet", "0036_notices_by_cause")]
    run_before = [("fleet", "0037_names_of_the_glossary")]  # which gives the table that is filled here another name

    operations = [
        migrations.AddField(
            "certificate",
            "report",
            models.ForeignKey(
                blank=True, null=True, on_delete=models.PROTECT, related_name="certificates", to="defects.report"
            ),
        ),
        migrations.RunSQL(FILL, migrations.RunSQL.noop),
    ]
