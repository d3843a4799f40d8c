"""PostgreSQL addresses taken apart and put together again."""

import psycopg.conninfo
import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.database_url import Database, UrlInvalid, parse


@pytest.mark.parametrize(
    ("url", "database"),
    [
        ("postgresql://web@db/reefer", Database("reefer", "web", "", "db", "", {})),
        ("postgres://web:a%40b%2F@db:5433/reefer", Database("reefer", "web", "a@b/", "db", "5433", {})),
        ("postgresql:///reefer?host=/run/x", Database("reefer", "", "", "/run/x", "", {})),
        ("postgresql://%2Frun%2Fx/reefer", Database("reefer", "", "", "/run/x", "", {})),
        ("postgresql://w@[::1]:5432/r?sslmode=require", Database("r", "w", "", "::1", "5432", {"sslmode": "require"})),
    ],
)
def test_address__taken_apart(url: str, database: Database) -> None:
    assert parse(url) == database


@pytest.mark.parametrize(
    "url",
    ["", "reefer", "sqlite:///db", "postgresql://db", "postgresql://db/", "postgresql://db:x/r", "postgresql://["],
)
def test_no_address_of_a_database__refused(url: str) -> None:
    with pytest.raises(UrlInvalid):
        parse(url)


TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1, max_size=12)


@given(
    name=TEXT,
    user=TEXT,
    password=st.just("") | TEXT,
    host=st.sampled_from(["db", "db.example", "10.0.0.1", "::1", "/run/x y", "/run/ü"]),
    port=st.sampled_from(["", "5432"]),
)
def test_put_together__means_the_same_to_us_and_to_libpq(
    name: str, user: str, password: str, host: str, port: str
) -> None:
    database = Database(name, user, password, host, port, {})

    url = database.url()

    assert parse(url) == database
    meant = {"dbname": name, "user": user, "host": host, "password": password, "port": port}
    assert psycopg.conninfo.conninfo_to_dict(url) == {key: value for key, value in meant.items() if value}


def test_other_name_and_role__same_server() -> None:
    database = parse("postgresql://owner:secret@db:5432/reefer?sslmode=require")

    assert database.with_name("copy").url() == "postgresql://owner:secret@db:5432/copy?sslmode=require"
    assert database.with_user("web").url() == "postgresql://web@db:5432/reefer?sslmode=require"
