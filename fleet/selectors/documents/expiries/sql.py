"""The one statement behind the expiry list: what ends, what is missing or undecided, in order, a stretch at a time.

The list is three parts one after the other: what has expired, what is missing, what will end. A part is looked at only
where the parts before it do not fill the stretch that is asked for.
"""

from psycopg import sql

_ASKED = """
       (%(subject)s::text IS NULL OR whose.subject = %(subject)s)
   AND (%(site)s::text IS NULL OR whose.site_id = (SELECT id FROM fleet_site WHERE code = %(site)s))
   AND (%(any_responsible)s OR (%(holds_somewhere)s AND (
           whose.site_id IS NULL
           OR whose.site_id = ANY (%(own_sites)s::uuid[])
           OR (NOT %(covered_everywhere)s AND whose.site_id <> ALL (%(covered_sites)s::uuid[])))))
"""

_DOCUMENTS = """
    SELECT {rank} AS rank,
           CASE WHEN ends.counts_to >= %(today)s THEN ends.counts_to ELSE ends.last_day END AS day,
           document.kind, whose.name, document.state, document.id, whose.key, whose.subject, whose.site_id
      FROM fleet_document AS document
      LEFT JOIN grace ON grace.kind = document.kind AND grace.ends_on = document.ends_on
     CROSS JOIN LATERAL (
           SELECT COALESCE(grace.last_day, read.day) AS last_day, COALESCE(grace.counts_to, read.day) AS counts_to
             FROM (SELECT CASE WHEN document.ends_on_month IS NOT NULL
                                AND (%(by_month_end)s OR document.program = %(state_program)s)
                               THEN document.ends_on_month ELSE document.ends_on END AS day) AS read) AS ends
      LEFT JOIN fleet_unit AS unit ON unit.id = document.unit_id AND unit.retired_on IS NULL
      LEFT JOIN fleet_person AS person ON person.id = document.person_id AND person.left_on IS NULL
     CROSS JOIN LATERAL (
           SELECT COALESCE(document.unit_id, document.person_id, %(nobody)s::uuid) AS key,
                  COALESCE(unit.number, person.name, '') AS name,
                  COALESCE(unit.kind, CASE WHEN document.person_id IS NULL THEN 'carrier' ELSE 'person' END) AS subject,
                  COALESCE(unit.home_site_id, person.home_site_id) AS site_id) AS whose
     WHERE document.superseded_at IS NULL AND {span}
       AND (unit.id IS NOT NULL OR document.unit_id IS NULL) AND (person.id IS NOT NULL OR document.person_id IS NULL)
       AND (%(unit)s::uuid IS NULL OR document.unit_id = %(unit)s::uuid)
       AND (%(person)s::uuid IS NULL OR document.person_id = %(person)s::uuid)
       AND (%(all_people)s OR document.person_id IS NULL OR document.person_id = %(me)s)
       AND (%(kind)s::text IS NULL OR document.kind = %(kind)s)
       AND (%(until)s::date IS NULL OR (document.ends_on <= %(until)s::date AND ends.counts_to <= %(until)s::date))
       AND {asked}
"""

_QUALIFIED = """
    SELECT {rank} AS rank, held.ends_on AS day, %(qualification)s || held.scope AS kind, whose.name, '' AS state,
           held.id, whose.key, whose.subject, whose.site_id
      FROM fleet_qualification AS held
      JOIN fleet_person AS person ON person.id = held.person_id AND person.left_on IS NULL
     CROSS JOIN LATERAL (
           SELECT person.id AS key, person.name, 'person' AS subject, person.home_site_id AS site_id) AS whose
     WHERE {span}
       AND NOT EXISTS (SELECT 1 FROM fleet_qualification AS later
                        WHERE later.person_id = held.person_id AND later.scope = held.scope
                          AND (later.ends_on IS NULL OR (later.ends_on, later.id) > (held.ends_on, held.id)))
       AND %(unit)s::uuid IS NULL
       AND (%(person)s::uuid IS NULL OR person.id = %(person)s::uuid)
       AND (%(all_people)s OR person.id = %(me)s)
       AND (%(kind)s::text IS NULL OR %(qualification)s || held.scope = %(kind)s)
       AND (%(until)s::date IS NULL OR held.ends_on <= %(until)s::date)
       AND {asked}
"""

_LACKS = """
       NOT EXISTS (SELECT 1 FROM fleet_document AS document
                    WHERE {held} AND document.kind = expected.kind AND document.superseded_at IS NULL
                      AND (expected.state = '' OR document.state = expected.state))
"""

_MISSING = """
    SELECT 1 AS rank, DATE '0001-01-01' AS day, whose.kind, whose.name, whose.state,
           md5(concat_ws(' ', whose.key, whose.kind, whose.state, whose.undecided))::uuid AS id,
           whose.key, whose.subject, whose.site_id
      FROM (SELECT unit.id AS key, unit.kind AS subject, unit.number AS name, unit.home_site_id AS site_id,
                   expected.kind, expected.state, NULL AS undecided
              FROM fleet_unit AS unit JOIN expected ON expected.subject = unit.kind
             WHERE unit.retired_on IS NULL AND %(person)s::uuid IS NULL
               AND (%(unit)s::uuid IS NULL OR unit.id = %(unit)s::uuid)
               AND {lacked_by_unit}
             UNION ALL
            SELECT person.id, 'person', person.name, person.home_site_id, expected.kind, expected.state, NULL
              FROM fleet_person AS person
              LEFT JOIN met ON met.person_id = person.id
              JOIN expected ON expected.subject = 'person'
                   AND string_to_array(expected.conditions, ' ') <@ COALESCE(met.conditions, '{{}}')
             WHERE person.left_on IS NULL AND (%(all_people)s OR person.id = %(me)s) AND %(unit)s::uuid IS NULL
               AND (%(person)s::uuid IS NULL OR person.id = %(person)s::uuid)
               AND {lacked_by_person}
             UNION ALL
            SELECT %(nobody)s::uuid, 'carrier', '', NULL, expected.kind, expected.state, NULL
              FROM expected
             WHERE expected.subject = 'carrier' AND %(unit)s::uuid IS NULL AND %(person)s::uuid IS NULL
               AND {lacked_by_carrier}
             UNION ALL
            SELECT %(nobody)s::uuid, asked.subject, '', NULL, asked.kind, '', asked.subject
              FROM unnest(%(undecided_subjects)s::text[], %(undecided_kinds)s::text[]) AS asked (subject, kind)
             WHERE %(unit)s::uuid IS NULL AND %(person)s::uuid IS NULL) AS whose
     WHERE (%(kind)s::text IS NULL OR whose.kind = %(kind)s)
       AND {asked}
"""

_HOLDERS = {
    "lacked_by_unit": "document.unit_id = unit.id",
    "lacked_by_person": "document.person_id = person.id",
    "lacked_by_carrier": "document.unit_id IS NULL AND document.person_id IS NULL",
}

_PART = """{name} AS MATERIALIZED (
    SELECT * FROM ({rows}) AS part
     WHERE {still} AND (%(everything)s OR (rank, day, kind, name, state, id) {beyond}
           (%(rank)s, %(day)s::date, %(at_kind)s, %(at_name)s, %(at_state)s, %(at_id)s::uuid))
     ORDER BY rank {way}, day {way}, kind {way}, name {way}, state {way}, id {way}
     LIMIT %(limit)s
)"""

_LIST = """
WITH grace AS (
    SELECT * FROM unnest(
               %(grace_kinds)s::text[], %(grace_ends)s::date[], %(grace_last)s::date[], %(grace_count)s::date[])
               AS grace (kind, ends_on, last_day, counts_to)
), expected AS (
    SELECT * FROM unnest(
               %(need_subjects)s::text[], %(need_kinds)s::text[], %(need_states)s::text[], %(need_conditions)s::text[])
               AS expected (subject, kind, state, conditions)
), met AS (
    SELECT shown.person_id, array_agg(shown.condition) AS conditions
      FROM (SELECT held.person_id, scope.condition
              FROM fleet_qualification AS held
              JOIN unnest(%(scopes)s::text[], %(scope_conditions)s::text[]) AS scope (name, condition)
                ON scope.name = held.scope
             WHERE held.starts_on <= %(today)s AND (held.ends_on IS NULL OR held.ends_on >= %(today)s)
             UNION ALL
            SELECT held.person_id, role.condition
              FROM fleet_personrole AS held
              JOIN unnest(%(roles)s::text[], %(role_conditions)s::text[]) AS role (name, condition)
                ON role.name = held.role
             WHERE held.starts_on <= %(today)s AND (held.ends_on IS NULL OR held.ends_on >= %(today)s)) AS shown
     GROUP BY shown.person_id
), {parts}, page AS (
    SELECT * FROM (SELECT * FROM expired UNION ALL SELECT * FROM missing UNION ALL SELECT * FROM ending) AS listed
     ORDER BY rank {way}, day {way}, kind {way}, name {way}, state {way}, id {way}
     LIMIT %(limit)s
)
SELECT page.rank, page.day, page.kind, page.name, page.state, page.id, page.key, page.subject, page.site_id,
       site.code AS site, unit.owner, document.number, COALESCE(document.starts_on, held.starts_on) AS starts_on,
       COALESCE(document.ends_on, held.ends_on) AS ends_on, document.ends_on_month, document.program,
       COALESCE(document.recorded_at, held.recorded_at) AS recorded_at, document.version
  FROM page
  LEFT JOIN fleet_site AS site ON site.id = page.site_id
  LEFT JOIN fleet_unit AS unit ON unit.id = page.key
  LEFT JOIN fleet_document AS document ON page.rank <> 1 AND document.id = page.id
  LEFT JOIN fleet_qualification AS held ON page.rank <> 1 AND held.id = page.id
 ORDER BY page.rank {way}, page.day {way}, page.kind {way}, page.name {way}, page.state {way}, page.id {way}
"""

_SPANS = {
    "expired": (
        0,
        "document.ends_on < %(today)s AND ends.last_day < %(today)s",  # no reading ends before ends_on
        "held.ends_on < %(today)s",
    ),
    "ending": (2, "document.ends_on IS NOT NULL AND ends.last_day >= %(today)s", "held.ends_on >= %(today)s"),
}


def _rows(part: str) -> sql.Composed:
    asked = sql.SQL(_ASKED)
    if part not in _SPANS:
        lacks = {name: sql.SQL(_LACKS).format(held=sql.SQL(held)) for name, held in _HOLDERS.items()}
        return sql.SQL(_MISSING).format(asked=asked, **lacks)
    rank, of_document, of_qualification = _SPANS[part]
    facts = {"rank": sql.SQL(str(rank)), "asked": asked}
    documents = sql.SQL(_DOCUMENTS).format(span=sql.SQL(of_document), **facts)
    return sql.SQL("{} UNION ALL {}").format(
        documents, sql.SQL(_QUALIFIED).format(span=sql.SQL(of_qualification), **facts)
    )


def _list(parts: tuple[str, ...], beyond: str, way: str) -> sql.Composed:
    """The statement that reads the parts in this order, each with the number of rows that those before it found."""
    order = {"beyond": sql.SQL(beyond), "way": sql.SQL(way)}
    made: list[sql.Composed] = []
    still = sql.Composed([sql.SQL("TRUE")])
    for part in parts:
        made.append(sql.SQL(_PART).format(name=sql.Identifier(part), rows=_rows(part), still=still, **order))
        found = sql.SQL(" + ").join(
            sql.SQL("(SELECT count(*) FROM {})").format(sql.Identifier(name)) for name in parts[: len(made)]
        )
        still = sql.SQL("{} < %(limit)s").format(found)
    return sql.SQL(_LIST).format(parts=sql.SQL(", ").join(made), way=order["way"])


FORWARDS = _list(("expired", "missing", "ending"), ">", "ASC")
BACKWARDS = _list(("ending", "missing", "expired"), "<", "DESC")
