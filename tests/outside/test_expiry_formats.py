"""The expiry list as other programs read it: the calendar by RFC 5545 (read), the sheet by an independent reader.

Sections are those of RFC 5545: 3.1 (lines end with CR LF and are folded at 75 octets), 3.3.11 (backslash, comma,
semicolon and line feed are escaped in text), 3.6.1 (an event of whole days has DATE values, its end is not included),
3.8.4.7 (a UID is there for good), 3.8.7.2 (DTSTAMP in UTC), 3.4 and 3.6 (one object, PRODID and VERSION once).
That RFC 5545 has a METHOD only where something is asked for is section 3.7.2.
"""

import datetime as dt
import re
from collections.abc import Iterator
from io import BytesIO
from typing import Any
from zipfile import ZipFile

import pytest
import time_machine
from icalendar import Calendar
from python_calamine import CalamineWorkbook

from fleet.enums import Role, UnitKind
from fleet.models import Document, Person
from tests.factories.fleet import NOON, PolicyFactory, make_carrier, make_document, make_feed, make_person, make_unit
from tests.support.acting import Device, acting_as

LONG = 'Cómo se llame; y además, \\con "comillas", '
NUMBER = f"{LONG * 2}fin"[:60]


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(NOON, tick=False) as traveller:
        yield traveller


@pytest.fixture
def vera(db: None, clock: time_machine.Traveller) -> Person:
    make_carrier()
    trailer = make_unit(UnitKind.TRAILER, "LR-44")
    make_document(trailer, number=NUMBER, starts_on=None, ends_on=dt.date(2026, 3, 8), us_state="IL")
    make_document(trailer, kind="periodic_inspection", starts_on=dt.date(2025, 3, 1), ends_on=None)
    make_document(make_unit(number="NL-11"), number="=1+2", starts_on=None, ends_on=dt.date(2028, 2, 29))
    vera = make_person("Vera Holt", Role.COMPLIANCE)
    long_ago = NOON - dt.timedelta(days=1000)
    PolicyFactory.create(key="document_conditions", value={}, valid_from=long_ago)
    return vera


def read(path: str) -> bytes:
    answer = Device().get(path)
    assert answer.status_code == 200
    content: bytes = answer.content
    return content


def feed(vera: Person, **filters: Any) -> str:
    return f"expiries/feeds/{make_feed(vera, **filters)[1]}.ics"


class TestCalendar:
    def test_lines__end_with_cr_lf_and_are_at_most_75_octets(self, vera: Person) -> None:
        content = read(feed(vera))
        lines = content.split(b"\r\n")
        assert lines[-1] == b""
        assert not [line for line in lines if b"\n" in line or b"\r" in line]
        assert max(map(len, lines)) <= 75
        assert [line for line in lines if line.startswith(b" ")], "nothing was long enough to be folded"
        for line in lines:
            line.decode()  # no character is cut in two

    def test_text__is_escaped_and_reads_back_as_it_was(self, vera: Person) -> None:
        content = read(feed(vera, kind="registration", unit="LR-44")).decode()
        unfolded = content.replace("\r\n ", "")
        [written] = re.findall(r"DESCRIPTION:(.*)\r\n", unfolded)
        assert "Cómo se llame\\; y además\\, \\\\con" in written
        assert written.count("\\n") == 3
        [event] = Calendar.from_ical(content).walk("VEVENT")
        assert str(event["DESCRIPTION"]).split("\n")[:3] == [
            f"Number: {NUMBER}",
            "State: IL",
            "Last day by day: Sun 8 Mar 2026",
        ]

    def test_event__is_a_whole_day_whose_end_is_not_included(self, vera: Person) -> None:
        content = read(feed(vera, kind="registration")).decode()
        starts = re.findall(r"DTSTART(.*)\r\n", content)
        ends = re.findall(r"DTEND(.*)\r\n", content)
        assert starts == [";VALUE=DATE:20260308", ";VALUE=DATE:20280229"]
        assert ends == [";VALUE=DATE:20260309", ";VALUE=DATE:20280301"]
        events = Calendar.from_ical(content).walk("VEVENT")
        assert [event.decoded("DTSTART") for event in events] == [dt.date(2026, 3, 8), dt.date(2028, 2, 29)]
        assert [event.decoded("DTEND") for event in events] == [dt.date(2026, 3, 9), dt.date(2028, 3, 1)]

    def test_object__has_what_is_required_once_and_no_method(self, vera: Person) -> None:
        content = read(feed(vera))
        calendar = Calendar.from_ical(content)
        assert (str(calendar["VERSION"]), "METHOD" in calendar) == ("2.0", False)
        assert str(calendar["PRODID"]).startswith("-//")
        entries = [*calendar.walk("VEVENT"), *calendar.walk("VTODO")]
        assert len(entries) == len(calendar.subcomponents) == 6
        for entry in entries:
            assert not isinstance(entry["UID"], list)
        assert len(re.findall(rb"\r\nDTSTAMP:\d{8}T\d{6}Z\r\n", content)) == 6

    def test_missing_document__is_a_task_without_a_day(self, vera: Person) -> None:
        tasks = Calendar.from_ical(read(feed(vera, unit="NL-11"))).walk("VTODO")
        assert [str(task["SUMMARY"]) for task in tasks] == ["NL-11: periodic inspection is missing"]
        assert not {"DTSTART", "DUE", "DURATION"} & set(tasks[0])

    def test_uid__is_the_same_the_next_day_and_another_for_the_next_document(
        self, vera: Person, clock: time_machine.Traveller
    ) -> None:
        path = feed(vera)

        def uids() -> list[str]:
            return [str(entry["UID"]) for entry in Calendar.from_ical(read(path)).subcomponents]

        first = uids()
        assert len(first) == len(set(first))
        clock.move_to(NOON + dt.timedelta(hours=30))
        assert sorted(uids()) == sorted(first)
        old = Document.objects.get(kind="registration", unit__number="LR-44")
        body = {"ends_on": "2027-03-08"}
        assert acting_as(vera).post(f"documents/{old.pk}/replace", body, if_match='"1"').status_code == 201
        after = uids()
        assert set(first) - set(after) == {str(old.pk)}
        assert len(set(after) - set(first)) == 1


class TestSheet:
    def test_independent_reader__finds_exactly_the_rows_of_the_list(self, vera: Person) -> None:
        desk = acting_as(vera)
        told = desk.get("expiries").json()["results"]
        book = CalamineWorkbook.from_filelike(BytesIO(desk.get("expiries", format="xlsx").content))
        assert book.sheet_names == ["Expiry list"]
        head, *lines = book.get_sheet_by_index(0).to_python()
        found = [dict(zip(head, line, strict=True)) for line in lines]
        assert [
            (line["Subject"], line["Document"], line["Number"], line["State"], line["Status"], line["What it is today"])
            for line in found
        ] == [
            (
                row["unit"]["number"] if row["unit"] else "The carrier",
                row["kind_text"],
                row["number"],
                row["us_state"],
                row["status"],
                row["says"],
            )
            for row in told
        ]
        for line, row in zip(found, told, strict=True):
            assert line["Days left"] == ("" if row["days_left"] is None else row["days_left"])
            for title, name in (("By day", "ends_on"), ("By month end", "ends_on_month"), ("Last day", "last_day")):
                assert line[title] == (dt.date.fromisoformat(row[name]) if row[name] else ""), (title, line)
        assert "=1+2" in [line["Number"] for line in found]

    def test_sheet__filters_stays_and_prints_on_pages_one_wide(self, vera: Person) -> None:
        """ECMA-376 part 1, 18.3.1: autoFilter, pane, pageSetup; 18.2.5: the row that is printed on every page."""
        with ZipFile(BytesIO(acting_as(vera).get("expiries", format="xlsx").content)) as parts:
            sheet = parts.read("xl/worksheets/sheet1.xml").decode()
            book = parts.read("xl/workbook.xml").decode()
        assert '<autoFilter ref="A1:N7"/>' in sheet
        assert 'state="frozen"' in sheet
        assert 'ySplit="1"' in sheet
        assert 'orientation="landscape"' in sheet
        assert 'fitToHeight="0"' in sheet
        assert "<f>" not in sheet
        assert "_xlnm.Print_Titles" in book
        assert "'Expiry list'!$1:$1" in book
