"""Papers out of a table: a paper is named by its subject and kind, and the State where a kind is given by States.

The same paper is left alone or mended, the next one replaces it, one from before it is refused.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from common.errors import DomainError
from fleet.enums import RowOutcome
from fleet.models import Document
from fleet.rules.documents.successors import Successor, successor
from fleet.services.documents.columns import kind_of_paper, paper_columns, paper_now
from fleet.services.documents.inspectors import INSPECTION, SHOWN_BY, Inspectors
from fleet.services.documents.subjects import refuse_others_papers, says_new_day
from fleet.services.imports.documents_on_record import PapersOnRecord, Whose, paper_name, standing_among
from fleet.services.imports.given_rows import (
    Change,
    ColumnProblem,
    GivenRow,
    Named,
    Refused,
    RowReport,
    Scene,
    batches,
    changes_between,
    judged,
    refusal,
)
from fleet.services.records.versions import begin_edit
from fleet.signals import papers_recorded
from fleet.states import document_state
from fleet.transitions import DOCUMENT

NAMING = frozenset({"kind", "unit", "person"})


@dataclass(frozen=True)
class _Written:
    """What is written of a row: a paper recorded or replacing `old`, or columns of `old` that are mended."""

    kind: str
    whose: Whose
    columns: Mapping[str, object]
    old: Document | None = None
    mended: tuple[Change, ...] = ()


class DocumentPlan:
    """Which papers a table records, mends and replaces."""

    def __init__(self, rows: Sequence[GivenRow], scene: Scene) -> None:
        self._scene = scene
        self._record = PapersOnRecord(rows, scene)
        self._named = Named()
        self._written: list[_Written] = []
        self._dated: list[Document] = []
        self._inspectors = Inspectors()
        self.reports = judged(rows, self._judge)

    def write(self) -> None:
        """Record, mend and replace, with the units' histories."""
        for written in batches(self._written):
            self._mend([row for row in written if row.mended])
            self._insert([row for row in written if not row.mended])
            work = self._record.work
            papers_recorded.send(Document, documents=self._dated, work=work, from_table=True)
            self._dated.clear()
            work.write()

    def _judge(self, row: GivenRow) -> RowReport:
        try:
            kind = kind_of_paper(str(row.values["kind"]))
            whose = self._record.whose(row)
            refuse_others_papers(whose.subject, self._scene.actor)
            facts = {name: value for name, value in row.values.items() if name not in NAMING}
            state = str(facts.get("state", ""))
            self._named.add(paper_name(kind, whose.subject, state), row.number)
            papers = self._record.of(kind, whose.subject, state)
            old = standing_among(papers)
            if old is not None:
                return self._judge_next(row, whose, facts, old, papers)
            columns = paper_columns(kind, whose.rules, facts, self._scene.today)
        except DomainError as error:
            raise refusal(error) from error
        self._written.append(_Written(kind.name, whose, columns))
        return RowReport(row.number, RowOutcome.CREATED, _called(kind.name, whose))

    def _judge_next(
        self, row: GivenRow, whose: Whose, facts: Mapping[str, object], old: Document, papers: Sequence[Document]
    ) -> RowReport:
        """A row about a paper of which one stands; raises as services do."""
        kind = kind_of_paper(old.kind)
        mended = paper_columns(kind, whose.rules, paper_now(old, kind, facts), self._scene.today)
        changes = changes_between({name: getattr(old, name) for name in mended}, mended)
        name = _called(kind.name, whose)
        if not changes:
            return RowReport(row.number, RowOutcome.UNCHANGED, name, old.pk)
        order = successor(old, _day(mended["starts_on"]), _day(mended["ends_on"]))
        if order is Successor.SAME_PERIOD:
            DOCUMENT.resolve("edit", document_state(old), self._scene.actor.current_roles)
            self._written.append(_Written(kind.name, whose, mended, old, changes))
            return RowReport(row.number, RowOutcome.CHANGED, name, old.pk, changes)
        columns = paper_columns(kind, whose.rules, {**facts, "state": old.state}, self._scene.today)
        if order is Successor.EARLIER:
            same = [paper for paper in papers if all(getattr(paper, key) == columns[key] for key in columns)]
            if not same:
                raise Refused(ColumnProblem("", "document_earlier", {"ends_on": old.ends_on or ""}))
            return RowReport(row.number, RowOutcome.UNCHANGED, name, same[0].pk)
        DOCUMENT.resolve("replace", document_state(old), self._scene.actor.current_roles)
        self._written.append(_Written(kind.name, whose, columns, old))
        followed = changes_between({name: getattr(old, name) for name in columns}, columns)
        return RowReport(row.number, RowOutcome.CHANGED, name, old.pk, followed)

    def _mend(self, rows: Sequence[_Written]) -> None:
        mended = []
        for row in rows:
            if row.old is None:
                continue
            begin_edit(row.old, row.old.version)
            for change in row.mended:
                setattr(row.old, change.column, change.after)
            if SHOWN_BY & {change.column for change in row.mended}:
                row.old.inspector_unproven = self._is_unproven(row)
            changed = {change.column: [change.before, change.after] for change in row.mended}
            self._note("document_edited", row.old, {"kind": row.kind, "changed": changed})
            mended.append(row.old)
        columns = {change.column for row in rows for change in row.mended}
        if mended:
            Document.objects.bulk_update(mended, [*sorted(columns), "inspector_unproven", "version"])

    def _insert(self, rows: Sequence[_Written]) -> None:
        """New papers; those that they replace make room first, and are told by what once that has a row."""
        actor, now = self._scene.actor, self._scene.now
        olds = [row.old for row in rows if row.old is not None]
        for old in olds:
            begin_edit(old, old.version)
            old.replaced_at = now
        if olds:
            Document.objects.bulk_update(olds, ["replaced_at", "version"])
        new = Document.objects.bulk_create(
            Document(
                kind=row.kind,
                **row.whose.subject.columns,
                **row.columns,
                inspector_unproven=self._is_unproven(row),
                recorded_at=now,
                recorded_by=actor,
            )
            for row in rows
        )
        for row, document in zip(rows, new, strict=True):
            body = {"kind": row.kind, **row.columns, "inspector_unproven": document.inspector_unproven}
            if row.old is None:
                self._note("document_recorded", document, body)
            else:
                row.old.replaced_by = document
                self._note("document_replaced", document, {**body, "replaces": row.old.pk})
        if olds:
            Document.objects.bulk_update(olds, ["replaced_by"])

    def _is_unproven(self, row: _Written) -> bool:
        """Whether a periodic inspection of a unit of ours does not show a qualified inspector: flagged, not refused."""
        return row.kind == INSPECTION and row.whose.ours and bool(self._inspectors.problems(row.columns))

    def _note(self, event: str, document: Document, body: Mapping[str, object]) -> None:
        """Into the unit's history; people and the carrier have none."""
        if document.unit_id is not None:
            self._record.work.record(document.unit_id, event, subject=document.pk, body=body)
            if says_new_day(event, body):
                self._dated.append(document)


def _called(kind: str, whose: Whose) -> str:
    return f"{whose.name}: {kind}"


def _day(value: object) -> date | None:
    return value if isinstance(value, date) else None
