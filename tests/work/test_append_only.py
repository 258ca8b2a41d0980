"""The database itself refuses to change, delete or replace what was written.

These run on SQLite. The PostgreSQL triggers in ``yard.triggers`` were never tried on a server.
"""

import pytest
from django.db import DatabaseError, connection, transaction

from tests.work.conftest import Crew
from yardwright.fleet.models import Limit
from yardwright.work.models import Fact

KEEPS = {"work_fact": "what", "fleet_limit": "quantity"}
REFUSED = {
    "update": "UPDATE {table} SET {column} = 'other'",
    "delete": "DELETE FROM {table}",
    "replace all": "INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
    "replace one": "REPLACE INTO {table} SELECT * FROM {table} LIMIT 1",
    "upsert": "INSERT INTO {table} SELECT * FROM {table} WHERE true"
    " ON CONFLICT (uuid) DO UPDATE SET {column} = 'other'",
}


def rows(table: str) -> list[object]:
    with connection.cursor() as cursor:
        return list(cursor.execute(f"SELECT * FROM {table} ORDER BY uuid").fetchall())  # noqa: S608


@pytest.mark.parametrize("table", KEEPS)
@pytest.mark.parametrize("tell", REFUSED.values(), ids=REFUSED)
def test_raw_sql_is_refused(crew: Crew, table: str, tell: str) -> None:
    before = rows(table)
    assert before
    with (
        pytest.raises(DatabaseError, match="Facts stay"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(tell.format(table=table, column=KEEPS[table]))
    assert rows(table) == before


def test_the_orm_is_refused_too(crew: Crew) -> None:
    for row in (Fact.objects.all()[0], Limit.objects.all()[0]):
        with pytest.raises(TypeError, match="stay"):
            row.save()
        with pytest.raises(TypeError, match="stay"):
            row.delete()
    for attempt in (
        lambda: Fact.objects.update(what="other"),
        lambda: Fact.objects.all().delete(),
        lambda: Fact.objects.bulk_update(Fact.objects.all(), ["what"]),
    ):
        with pytest.raises(DatabaseError, match="Facts stay"), transaction.atomic():
            attempt()
