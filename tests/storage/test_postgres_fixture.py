"""The throwaway PostgreSQL gives every test a database of its own."""

import psycopg


def _connect(url: str) -> psycopg.Connection[tuple[object, ...]]:
    return psycopg.connect(url.replace("postgresql+psycopg", "postgresql"), autocommit=True)


def test_a_test_gets_an_empty_database(postgres_url: str) -> None:
    with _connect(postgres_url) as connection:
        tables = connection.execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'").fetchone()
        connection.execute("CREATE TABLE left_behind (id integer)")
    assert tables == (0,)


def test_the_next_test_sees_nothing_of_the_one_before(postgres_url: str) -> None:
    with _connect(postgres_url) as connection:
        found = connection.execute("SELECT to_regclass('left_behind')").fetchone()
        encoding = connection.execute("SHOW server_encoding").fetchone()
    assert found == (None,)
    assert encoding == ("UTF8",)
