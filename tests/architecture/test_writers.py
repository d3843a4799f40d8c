"""One writer for each record: services alone save, one module makes each kind of row, its table sets its state."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

import pytest

from defects.rules.defects.judgement import COLUMNS
from tests.support.production_code import modules

MAKING = frozenset({"create", "bulk_create", "get_or_create", "update_or_create"})
SAVING = MAKING | {"save", "bulk_update", "delete", "update"}
WRITING = SAVING | {f"a{name}" for name in SAVING} | {"save_base", "_insert", "_update", "_raw_delete"}
"""Methods of rows, managers and querysets that write, whatever they are called on."""
WRITING_SQL = re.compile(r"\b(INSERT\s+INTO|DELETE\s+FROM|UPDATE\s+[\w.]+\s+SET|MERGE\s+INTO|TRUNCATE\s+\w+)\b")
RUNNING_SQL = frozenset({"execute", "executemany", "raw", "copy", "mogrify"})

MADE_ELSEWHERE = {
    ("Defect", "defects/selectors/records/exports.py"): "an unsaved row, to be named",
    ("Delivery", "fleet/services/notifications/job.py"): "the daily summary, which carries no one notification",
    ("Person", "fleet/services/carrier/founding.py"): "the first person, whom nobody can have added",
    ("PersonRole", "fleet/services/carrier/founding.py"): "the first person's role",
    ("PersonRole", "fleet/services/imports/roles.py"): "rows of an import, stored by the writer",
    ("MeterReading", "fleet/services/units/field_meters.py"): "readings of a signed body",
    ("SentBody", "defects/services/walkarounds/intake.py"): "the walk-around that stores its text",
    ("Signature", "defects/services/certificates/certificates.py"): "stores what `sign` made, with its certificate",
    ("JobRun", "fleet/selectors/operation/job_states.py"): "an unsaved row for a job that never ran",
}
"""A second module that makes a kind of row, and why it may."""
WRITING_BESIDE = {
    "common/compiled.py": "the statement that services insert many rows with",
    "config/celery.py": "Celery's own settings, which are a mapping",
}
"""Modules beside the services that look as if they wrote."""
SQL_COMPOSED = {
    "common/compiled.py": "what Django compiled of a queryset, with its values",
    "config/local/roles.py": "the roles of the demo's own database",
    "config/probes.py": "a limit in milliseconds",
    "fleet/selectors/documents/expiries/listing.py": "one list, forwards or backwards",
}
"""Modules beside the services that run SQL which is not spelled out where it can be read, and what it is of."""
STATES_SET = {
    "common/transitions.py": "as the table says",
    "defects/services/walkarounds/judging.py": "of a meter reading, which follows no table",
    "fleet/services/cooling/readings.py": "of a new reading, which follows no table",
    "fleet/services/units/field_meters.py": "of a new meter reading, which follows no table",
    "workorders/services/orders/joining.py": "of an order that is opened, or as it was read",
}
"""Where a stored state is set."""
COLUMNS_NAMED_LATE = {
    "common/api/idempotency.py": "methods of a view, and no columns",
    "common/compiled.py": "columns of a row that was read",
    "defects/services/defects/sightings.py": "what a judgement says of a defect",
    "defects/services/loads/loading.py": "what the dock tells of a load",
    "defects/services/loads/loads.py": "fields of a load's body",
    "fleet/services/documents/writers.py": "fields of a document's body",
    "fleet/services/records/edits.py": "fields of a body",
    "fleet/services/units/edits.py": "fields of a unit's body",
    "fleet/services/units/writers.py": "fields of a unit's body",
    "workorders/services/orders/ended_defects.py": "the column of a reason, by the way in which a task ends",
}
"""Modules that set columns which they do not spell, and which: none of them is a state."""


def models() -> frozenset[str]:
    return frozenset(
        node.name
        for name, tree in modules().items()
        if "/models/" in name
        for node in tree.body
        if isinstance(node, ast.ClassDef)
    )


def saved(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Each model of which rows are saved through its manager, with the method; "" where a row saves itself."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in SAVING:
            named = re.match(r"(\w+)(?:\.\w+\.through)?\.objects\b", ast.unparse(node.func.value))
            if named:
                yield named[1], node.func.attr
            elif node.func.attr == "save" and any(word.arg == "update_fields" for word in node.keywords):
                yield "", "save"


def made(tree: ast.Module, known: frozenset[str]) -> Iterator[str]:
    """Each model of which a row is built, or made through its manager."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and (node.keywords or any(isinstance(one, ast.Starred) for one in node.args)):
            name = ast.unparse(node.func).rpartition(".")[2]
            if name in known:
                yield name
    yield from (model for model, how in saved(tree) if how in MAKING and model in known)


def writes(node: ast.AST) -> bool:
    """Whether it calls what writes, by any receiver: a row, a queryset in a variable, a related manager; or is SQL."""
    match node:
        case ast.Call(func=ast.Attribute(attr="update" | "aupdate")):
            return any(word.arg != "using" for word in node.keywords)
        case ast.Call(func=ast.Attribute(attr="execute"), args=[ast.Constant(value=str(text)), *_]):
            return WRITING_SQL.search(text.upper()) is not None
        case ast.Call(func=ast.Attribute(attr=name)):
            return name in WRITING
        case ast.Constant(value=str(text)):
            return WRITING_SQL.search(text) is not None
    return False


def composed_sql(trees: Mapping[str, ast.Module]) -> set[str]:
    """The modules beside the services that run SQL other than a text, or a constant of theirs or another's."""
    texts = {
        (name.removesuffix(".py").replace("/", "."), ast.unparse(target))
        for name, tree in trees.items()
        for node in tree.body
        if isinstance(node, ast.Assign | ast.AnnAssign) and isinstance(node.value, ast.Constant)
        for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
    }
    return {
        name
        for name, tree in trees.items()
        if "/services/" not in name and "/rules/" not in name
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and ((isinstance(node.func, ast.Attribute) and node.func.attr in RUNNING_SQL) or _named(node) == "RawSQL")
        and node.args
        and not _is_spelled(node.args[0], name, tree, texts)
    }


def _is_spelled(text: ast.expr, name: str, tree: ast.Module, texts: set[tuple[str, str]]) -> bool:
    match text:
        case ast.Constant():
            return True
        case ast.Name(known):
            imported = {
                (str(node.module), one.name)
                for node in tree.body
                if isinstance(node, ast.ImportFrom)
                for one in node.names
                if known == (one.asname or one.name)
            }
            return bool(texts & (imported | {(name.removesuffix(".py").replace("/", "."), known)}))
    return False


def saving_elsewhere(trees: Iterable[tuple[str, ast.Module]]) -> list[str]:
    """The modules beside the services that write; what is pure has no rows, and its `update` is a dictionary's."""
    return [
        name
        for name, tree in trees
        if "/services/" not in name and "/rules/" not in name and any(writes(node) for node in ast.walk(tree))
    ]


def renamed_models(trees: Iterable[tuple[str, ast.Module]]) -> list[str]:
    """The modules that call a model by a name of their own, under which nobody would find it."""
    return [
        name
        for name, tree in trees
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and ".models" in f".{node.module}" and any(one.asname for one in node.names)
    ]


def made_twice(trees: Iterable[tuple[str, ast.Module]], known: frozenset[str]) -> set[tuple[str, str]]:
    """Model and module of every kind of row that several modules make."""
    makers: dict[str, set[str]] = defaultdict(set)
    for name, tree in trees:
        for model in made(tree, known):
            makers[model].add(name)
    return {(model, name) for model, names in makers.items() if len(names) > 1 for name in names}


def setting_states(trees: Iterable[tuple[str, ast.Module]], known: frozenset[str]) -> set[str]:
    """The modules that set the state of a row, of a row that they build, or of many at once.

    Whoever saves the states of many rows has moved each of them by a table.
    """
    return {
        name
        for name, tree in trees
        if any(_sets_state(node, known) for node in ast.walk(tree))
        or (any(map(_saves_states, ast.walk(tree))) and not any(map(_moves, ast.walk(tree))))
    }


def naming_late(trees: Iterable[tuple[str, ast.Module]]) -> set[str]:
    """The modules that set columns by names which are not spelled there: of a row, or of many at once."""
    return {name for name, tree in trees for node in ast.walk(tree) if _names_late(node)}


def _names_late(node: ast.AST) -> bool:
    match node:
        case ast.Call(func=ast.Name("setattr") | ast.Attribute(attr="__setattr__"), args=[*_, name, _]):
            return not isinstance(name, ast.Constant)
        case ast.Attribute(value=rows, attr="update") | ast.Subscript(value=rows, ctx=ast.Store()):
            return re.search(r"__dict__$|^vars\(.*\)$", ast.unparse(rows)) is not None
    return False


def _saves_states(node: ast.AST) -> bool:
    match node:
        case ast.Call(func=ast.Attribute(attr="bulk_update" | "abulk_update"), args=args, keywords=words):
            fields = [*args[1:2], *(word.value for word in words if word.arg == "fields")]
            return "'state'" in "".join(map(ast.unparse, fields))
    return False


def _moves(node: ast.AST) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in {"follow", "move"}


def _sets_state(node: ast.AST, known: frozenset[str]) -> bool:
    match node:
        case ast.Attribute(attr="state", ctx=ast.Store()):
            return True
        case ast.Call(func=ast.Name("setattr"), args=[_, ast.Constant("state"), _]):
            return True
        case ast.Call(func=called) if ast.unparse(called).rpartition(".")[2] in known:
            return any(word.arg == "state" for word in node.keywords)
        case ast.Call(func=ast.Attribute(attr="update" | "aupdate" | "create" | "acreate")):
            return any(
                word.arg == "state" or (word.arg is None and "'state'" in ast.unparse(word.value))
                for word in node.keywords
            )
    return False


def test_stored_states__are_set_by_transition_tables_alone() -> None:
    assert setting_states(modules().items(), models()) == set(STATES_SET)


def test_columns__are_spelled_where_they_are_set_or_are_no_states() -> None:
    assert naming_late(modules().items()) == set(COLUMNS_NAMED_LATE)


@pytest.mark.parametrize(
    "source",
    ["setattr(row, name, 1)", "object.__setattr__(row, name, 1)", "row.__dict__.update(given)", "vars(row)['x'] = 1"],
)
def test_column_named_by_a_variable__is_found(source: str) -> None:
    assert naming_late([("fleet/services/units.py", ast.parse(source))]) == {"fleet/services/units.py"}
    assert not naming_late([("fleet/services/units.py", ast.parse("setattr(row, 'make', 1)"))])


@pytest.mark.parametrize(
    "source",
    [
        "order.state = OrderState.OPEN",
        "row.state, row.lead = 1, 2",
        "Order.objects.filter().update(state=1)",
        "rows.update(**{'state': 1})",
        "setattr(row, 'state', 1)",
        "Order.objects.create(state=1)",
        "rows = [Order(pk=key, state=1)]",
        "Order.objects.bulk_update(rows, ['state', 'version'])",
        "Order.objects.bulk_update(rows, fields=('state',))",
    ],
)
def test_state_set_by_hand__is_found(source: str) -> None:
    trees = [("workorders/services/labor.py", ast.parse(source))]
    assert setting_states(trees, frozenset({"Order"})) == {"workorders/services/labor.py"}


def test_states_of_many__are_saved_where_a_table_moved_them() -> None:
    moved = "TABLE.follow(row, 'start')\nOrder.objects.bulk_update([row], ['state'])"
    assert not setting_states([("workorders/services/labor.py", ast.parse(moved))], frozenset())


def test_rows__are_saved_by_services_alone() -> None:
    assert saving_elsewhere(modules().items()) == sorted(WRITING_BESIDE)


def test_sql__is_spelled_where_it_runs() -> None:
    assert composed_sql(modules()) == set(SQL_COMPOSED)


@pytest.mark.parametrize(
    "sql",
    [
        "'DELETE ' + 'FROM defects_hold'",
        "'DELETE FROM {}'.format(table)",
        "f'UPDATE {table} SET state = 1'",
        "'DELETE FROM %s' % table",
        "statement",
        "sql.SQL('DELETE FROM {}').format(table)",
    ],
)
def test_sql_put_together__is_found(sql: str) -> None:
    ran = ast.parse(f"TEXT = 'SELECT 1'\ncursor.execute(TEXT)\ncursor.execute('SELECT 2')\ncursor.execute({sql})")
    assert composed_sql({"defects/selectors/holds.py": ran}) == {"defects/selectors/holds.py"}
    assert composed_sql({"defects/services/holds.py": ran}) == set()


def test_models__are_called_by_their_own_names() -> None:
    assert renamed_models(modules().items()) == []
    assert renamed_models([("x.py", ast.parse("from defects.models import Hold as Bar"))]) == ["x.py"]


def test_each_kind_of_row__is_made_in_one_module_or_for_a_reason() -> None:
    several = made_twice(modules().items(), models())
    assert {pair for pair in MADE_ELSEWHERE if pair not in several} == set(), "an exception that is none any more"
    left: dict[str, set[str]] = defaultdict(set)
    for model, name in several - MADE_ELSEWHERE.keys():
        left[model].add(name)
    assert {model: names for model, names in left.items() if len(names) > 1} == {}


@pytest.mark.parametrize(
    "source",
    [
        "Hold.objects.create(unit=unit)",
        "Hold._base_manager.bulk_create(rows)",
        "unit.holds.create(kind=kind)",
        "row.save()",
        "row.save(update_fields=['state'])",
        "await row.asave()",
        "row.save_base(raw=True)",
        "row.delete()",
        "Hold.objects.filter().delete()",
        "rows = Hold.objects.all()\nrows.update(why='')",
        "rows.update(**given)",
        "cursor.execute('DELETE FROM defects_hold')",
        "cursor.execute('update public.defects_hold set why = 1')",
        "TEXT = 'TRUNCATE defects_hold'",
    ],
)
def test_what_saves_in_a_selector__is_found(source: str) -> None:
    assert saving_elsewhere([("defects/selectors/holds.py", ast.parse(source))]) == ["defects/selectors/holds.py"]


@pytest.mark.parametrize("source", ["Hold(unit_id=unit)", "Hold(**row)", "Hold(*row)", "models.Hold(unit_id=unit)"])
def test_second_module_that_builds_a_hold__is_found(source: str) -> None:
    sources = {"defects/services/holds/placing.py": "Hold(unit_id=unit)", "defects/services/reviews.py": source}
    trees = [(name, ast.parse(source)) for name, source in sources.items()]
    assert made_twice(trees, frozenset({"Hold"})) == {("Hold", name) for name in sources}


def test_what_the_catalogue_alone_says_of_a_defect__is_written_in_one_mapping() -> None:
    """A new column is spelled in model, body, `Judgement` with its mapping, answer and the rule that asks for it."""
    columns = {"on_steering_axle", "counts_as_service_brake"}
    assert columns < set(COLUMNS)
    writers = {
        name
        for name, tree in modules().items()
        if name.startswith(("defects/services/", "defects/rules/defects/", "workorders/services/"))
        for node in ast.walk(tree)
        if (isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store) and node.attr in columns)
        or (isinstance(node, ast.Call) and _named(node) in BUILDERS and columns & {word.arg for word in node.keywords})
    }
    assert writers == {"defects/rules/defects/judgement.py"}


def _named(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else ""


BUILDERS = {"Defect", "Judgement", "replace"}


def test_production_code__nowhere_turns_the_clock() -> None:
    """But for the demo, whose own code does: `tests/integration/config/test_replay_clock.py`."""
    naming = [
        path
        for path, tree in modules().items()
        if any("replayed_at" in (getattr(node, "attr", ""), getattr(node, "name", "")) for node in ast.walk(tree))
    ]
    assert naming == ["common/clock.py"]
