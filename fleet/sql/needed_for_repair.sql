CREATE OR REPLACE FUNCTION public.needed_for_repair(entry uuid, today date)
 RETURNS boolean
 LANGUAGE sql
 STABLE
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    WITH link AS (SELECT id, subject FROM public.fleet_historyentry WHERE id = entry AND subject IS NOT NULL),
    reports AS (
        SELECT report.id FROM link JOIN public.defects_report AS report ON report.id = link.subject
        UNION
        SELECT report.id FROM link
          JOIN public.defects_photo AS photo ON photo.id = link.subject
          JOIN public.defects_report AS report ON report.walkaround_id = photo.walkaround_id
        UNION
        SELECT review.report_id FROM link
          JOIN public.defects_driverreview_reports AS review ON review.driverreview_id = link.subject
    ),
    concerned AS (
        SELECT defect.id FROM link JOIN public.defects_defect AS defect ON defect.id = link.subject
        UNION
        SELECT defect.id FROM link JOIN public.defects_defect AS defect ON defect.order_id = link.subject
        UNION
        SELECT defect.id FROM reports JOIN public.defects_defect AS defect ON defect.report_id = reports.id
        UNION
        SELECT seen.defect_id FROM reports JOIN public.defects_sighting AS seen ON seen.report_id = reports.id
        UNION
        SELECT photo.defect_id FROM link JOIN public.defects_photo AS photo ON photo.id = link.subject
         WHERE photo.defect_id IS NOT NULL
        UNION
        SELECT hold.defect_id FROM link JOIN public.defects_hold AS hold ON hold.id = link.subject
         WHERE hold.defect_id IS NOT NULL
        UNION
        SELECT certificate.defect_id FROM link
          JOIN public.defects_driverreview_certificates AS review ON review.driverreview_id = link.subject
          JOIN public.defects_certificate AS certificate ON certificate.id = review.certificate_id
    )
    SELECT EXISTS (SELECT FROM link JOIN public.defects_hold AS hold ON hold.id = link.subject
                    WHERE hold.lifted_at IS NULL)
        -- A photo that a certificate of the last year names is what proves it.
        OR EXISTS (SELECT FROM link
                     JOIN public.defects_photo AS photo ON photo.id = link.subject
                     JOIN public.defects_certificate AS certificate ON certificate.photo_sha256 = photo.original_id
                     JOIN public.defects_defect AS defect ON defect.id = certificate.defect_id
                     JOIN public.fleet_unit AS unit ON unit.id = defect.unit_id
                    WHERE greatest(certificate.certified_at + interval '12 months',
                                   unit.retired_on + interval '6 months') >= today)
        OR EXISTS (SELECT FROM concerned
                     JOIN public.defects_defect AS defect ON defect.id = concerned.id
                    WHERE defect.state NOT IN ('closed', 'entered_in_error')
                       OR (EXISTS (SELECT FROM public.defects_certificate AS certificate
                                     JOIN public.fleet_unit AS unit ON unit.id = defect.unit_id
                                    WHERE certificate.defect_id = defect.id
                                      AND greatest(
                                              (certificate.certified_at AT TIME ZONE coalesce(
                                                  (SELECT time_zone FROM public.fleet_carrier LIMIT 1), 'UTC'))::date
                                              + interval '12 months',
                                              unit.retired_on + interval '6 months') >= today)
                           AND NOT EXISTS (SELECT FROM public.fleet_historyentry AS other
                                             JOIN public.fleet_historycontent AS content ON content.entry_id = other.id
                                            WHERE other.subject = defect.id AND other.id <> entry
                                              AND other.kind IN ('certificate_signed',
                                                                 'fault_corrected_on_the_spot')))) $function$;
