"""Turning one table of a catalogue document into a point. What is wrong inside one part is found here."""

from defects.rules.catalogue.conditions import KEYS, SHARE_FACTS, Key
from defects.rules.catalogue.points import (
    Finding,
    Limit,
    Measure,
    Point,
    PointText,
    Raise,
    Source,
    Threshold,
    When,
    WhenValue,
)
from defects.rules.catalogue.tables import Table, as_day, as_decimal
from defects.rules.fieldwork import HowOften, Method, Precondition, Tool
from defects.rules.severity import default_bars
from defects.rules.vocabulary import (
    AxleRole,
    Bars,
    Basis,
    Evidence,
    FailsWhen,
    Language,
    Leg,
    Listing,
    PartGroup,
    PlaceType,
    RuleKind,
    Severity,
    Standing,
    System,
    UnitKind,
    UnitOfMeasure,
    WalkKind,
    WhenUnknown,
    Who,
)

NAME = r"[a-z][a-z0-9]*(-[a-z0-9]+)*(\.[a-z][a-z0-9]*(-[a-z0-9]+)*)+"
CODE = r"[a-z][a-z0-9]*([-_][a-z0-9]+)*"
LONGEST_NAME = 80
LONGEST_CODE = 40
LONGEST_SECTION = 150
LONGEST_THING = 60


def read_point(table: Table) -> Point:
    """The point of a table; problems go where the table collects them, and what is wrong is replaced by something."""
    source = _source(table)
    point = Point(
        name=_short(table, "name", NAME, LONGEST_NAME),
        unit_kinds=table.choices("unit_kinds", UnitKind, required=True),
        standing=table.choice("standing", Standing),
        part_group=table.choice("part_group", PartGroup),
        system=table.choice("system", System),
        leg=table.choice("leg", Leg),
        order=table.whole("order"),
        place_type=table.choice("place_type", PlaceType),
        places=table.texts("places"),
        axle_roles=table.choices("axle_roles", AxleRole),
        applies_when=_when(table, "applies_when"),
        who=table.choice("who", Who),
        method=table.choice("method", Method),
        tools=table.choices("tools", Tool),
        preconditions=table.choices("preconditions", Precondition),
        often=table.choice("often", HowOften),
        walks=table.choices("walks", WalkKind, required=True),
        evidence=table.choice("evidence", Evidence),
        measure=_measure(table),
        limits=tuple(_limit(inner, source) for inner in table.tables("limit")),
        findings=tuple(_finding(inner, source) for inner in table.tables("finding")),
        text=_texts(table),
        correctable=table.flag("correctable"),
        optional=table.flag("optional"),
        behind_seal=table.flag("behind_seal"),
        for_trained_drivers=table.flag("for_trained_drivers"),
        retired_on=table.day("retired_on"),
    )
    table.finish()
    return point


def _short(table: Table, key: str, pattern: str, longest: int) -> str:
    value = table.text(key, pattern=pattern)
    if len(value) > longest:
        table.problem(key, f"is longer than {longest} characters")
    return value


def _source(table: Table, fallback: Source | None = None) -> Source | None:
    inner = table.table("source")
    if inner is None:
        return fallback
    found = Source(section=_short(inner, "section", r".*\S.*", LONGEST_SECTION), basis=inner.choice("basis", Basis))
    inner.finish()
    return found


def _needed_source(table: Table, fallback: Source | None) -> Source:
    found = _source(table, fallback)
    if found is None:
        table.problem("source", "is missing")
        return Source("", Basis.OWN)
    return found


def _kind(table: Table, source: Source) -> RuleKind:
    known = RuleKind.REGULATION if source.basis in (Basis.READ, Basis.MEMORY) else RuleKind.CARRIER
    return table.choice("kind", RuleKind, default=known)


def _listing(table: Table) -> Listing | None:
    return table.choice("listing", Listing) if table.has("listing") else None


def _when(table: Table, key: str = "when") -> When:
    inner = table.table(key)
    if inner is None:
        return {}
    found: dict[str, tuple[WhenValue, ...]] = {}
    for name, given in inner.content.items():
        inner.read.add(name)
        if name not in KEYS:
            inner.problem(name, f"is none of {', '.join(KEYS)}")
            continue
        values = [_when_value(KEYS[name], item) for item in (given if isinstance(given, list) else [given])]
        if not values or any(value is None for value in values):
            inner.problem(name, "has a value that this condition cannot have")
            continue
        found[name] = tuple(value for value in values if value is not None)
    return found


def _when_value(key: Key, value: object) -> WhenValue | None:
    if key.type is bool:
        return value if isinstance(value, bool) else None
    if key.type is str:
        fits = isinstance(value, str) and (key.choices is None or value in key.choices)
        return value if fits and isinstance(value, str) else None
    return as_day(value) if key.type.__name__ == "date" else as_decimal(value)


def _raised(table: Table) -> tuple[Raise, ...]:
    steps = []
    for inner in table.tables("raised"):
        steps.append(Raise(when=_when(inner), severity=inner.choice("severity", Severity), source=_source(inner)))
        inner.finish()
    return tuple(steps)


def _measure(table: Table) -> Measure | None:
    inner = table.table("measure")
    if inner is None:
        return None
    found = Measure(
        quantity=inner.text("quantity"),
        unit_of_measure=inner.choice("unit_of_measure", UnitOfMeasure),
        minimum=inner.decimal("minimum"),
        maximum=inner.decimal("maximum"),
        decimals=inner.whole("decimals"),
        required=inner.flag("required"),
    )
    inner.finish()
    return found


def _share(table: Table) -> Threshold | None:
    inner = table.table("share")
    if inner is None:
        return None
    fact = inner.text("fact")
    if fact not in SHARE_FACTS:
        inner.problem("fact", f"is none of {', '.join(SHARE_FACTS)}")
    found = Threshold(fact, inner.decimal("percent"), inner.decimal_or_none("otherwise"))
    inner.finish()
    return found


def _limit(table: Table, fallback: Source | None) -> Limit:
    source = _needed_source(table, fallback)
    severity = table.choice("severity", Severity)
    found = Limit(
        id=_short(table, "id", CODE, LONGEST_CODE),
        when=_when(table),
        when_unknown=table.choice("when_unknown", WhenUnknown, default=WhenUnknown.QUERY),
        fails_when=table.choice("fails_when", FailsWhen),
        value=table.decimal_or_none("value"),
        low=table.decimal_or_none("low"),
        high=table.decimal_or_none("high"),
        share=_share(table),
        severity=severity,
        bars=table.choice("bars", Bars, default=default_bars(severity)),
        kind=_kind(table, source),
        source=source,
        listing=_listing(table),
        raised=_raised(table),
        counts_as_service_brake=table.flag("counts_as_service_brake"),
        effective_from=table.day("effective_from"),
        effective_until=table.day("effective_until"),
    )
    table.finish()
    return found


def _finding(table: Table, fallback: Source | None) -> Finding:
    source = _needed_source(table, fallback)
    severity = table.choice("severity", Severity)
    text = table.table("text")
    found = Finding(
        code=_short(table, "code", CODE, LONGEST_CODE),
        severity=severity,
        bars=table.choice("bars", Bars, default=default_bars(severity)),
        kind=_kind(table, source),
        source=source,
        listing=_listing(table),
        text={} if text is None else {language: text.text(language) for language in Language},
        default=table.flag("default"),
        raised=_raised(table),
        counts_as_service_brake=table.flag("counts_as_service_brake"),
    )
    if text is None:
        table.problem("text", "is missing")
    else:
        text.finish()
    table.finish()
    return found


def _texts(table: Table) -> dict[Language, PointText]:
    inner = table.table("text")
    if inner is None:
        table.problem("text", "is missing")
        return {}
    found = {}
    for language in Language:
        words = inner.table(language)
        if words is None:
            inner.problem(language, "is missing")
            continue
        found[language] = PointText(
            title=words.text("title"),
            thing=_short(words, "thing", r".*\S.*", LONGEST_THING),
            ask=words.text("ask"),
            figure=words.text("figure", default=""),
            caution=words.text("caution", default=""),
            put_right=words.text("put_right", default=""),
        )
        words.finish()
    inner.finish()
    return found
