"""Append-only by the database itself: no update, no delete, no replacing insert."""

from django.db.backends.base.base import BaseDatabaseWrapper

FACT_TABLES = ("work_fact", "fleet_limit")
KEY = "uuid"
STAYS = "Facts stay. Record a correction instead."


def statements(vendor: str, table: str) -> list[str]:
    """The SQL that makes one table append-only."""
    if vendor == "sqlite":
        stop = f"BEGIN SELECT RAISE(ABORT, '{STAYS}'); END"
        return [
            f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {stop}",
            f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {stop}",
            # REPLACE deletes without firing the trigger above
            f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS "
            f"(SELECT 1 FROM {table} WHERE {KEY} = NEW.{KEY}) {stop}",
        ]
    return [
        f"CREATE OR REPLACE FUNCTION {table}_stays() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{STAYS}' USING ERRCODE = 'integrity_constraint_violation'; "
        "END $$",
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_stays()",
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_stays()",
    ]


def names(vendor: str, table: str) -> list[str]:
    if vendor == "sqlite":
        return [f"{table}_no_update", f"{table}_no_delete", f"{table}_no_replace"]
    return [f"{table}_no_change", f"{table}_no_truncate"]


def put(connection: BaseDatabaseWrapper, table: str) -> None:
    with connection.cursor() as cursor:
        for statement in statements(connection.vendor, table):
            cursor.execute(statement)


def lift(connection: BaseDatabaseWrapper, table: str) -> None:
    """Take the triggers off; only to take a migration back, or to empty a test's tables."""
    on = "" if connection.vendor == "sqlite" else f" ON {table}"
    with connection.cursor() as cursor:
        for name in names(connection.vendor, table):
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on}")
