"""Many rows in few statements: COPY and arrays where the database has them, plain statements elsewhere.

Values come as the columns hold them: keys of other rows, JSON as text. No signals, no ``auto_now``.
"""

from collections.abc import Collection, Sequence
from typing import Any

from django.db import connections, router
from django.db.models import Field, Model

Row = Sequence[Any]


def rows_insert(model: type[Model], columns: Sequence[str], rows: Collection[Row]) -> None:
    """Insert rows; the database gives them their ids."""
    if not rows:
        return
    connection = connections[router.db_for_write(model)]
    names = ", ".join(connection.ops.quote_name(_column(model, name)) for name in columns)
    table = connection.ops.quote_name(model._meta.db_table)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            marks = ", ".join(["%s"] * len(columns))
            plain = connection.ops.adapt_unknown_value
            cursor.executemany(
                f"INSERT INTO {table} ({names}) VALUES ({marks})",  # noqa: S608  # names are models'
                [[plain(value) for value in row] for row in rows],
            )


def rows_update(
    model: type[Model], columns: Sequence[str], rows: Collection[Row], *, where: Sequence[str] = ("id",)
) -> int:
    """Set columns of the rows that ``where`` finds; a row is the values sought, then the values to set.

    Returns how many were found. A column may be both sought and set.
    """
    if not rows:
        return 0
    connection = connections[router.db_for_write(model)]
    quote = connection.ops.quote_name
    table = quote(model._meta.db_table)
    names = [_column(model, name) for name in (*where, *columns)]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            kinds = [_field(model, name).db_type(connection) or "text" for name in (*where, *columns)]
            given = [f"c{place}" for place in range(len(names))]
            sought = " AND ".join(f"t.{quote(names[at])} = v.{given[at]}" for at in range(len(where)))
            sets = ", ".join(f"{quote(names[at])} = v.{given[at]}" for at in range(len(where), len(names)))
            arrays = ", ".join(f"%s::{kind.split('(')[0]}[]" for kind in kinds)
            cursor.execute(
                f"UPDATE {table} t SET {sets} FROM unnest({arrays}) AS v({', '.join(given)}) WHERE {sought}",  # noqa: S608
                [list(each) for each in zip(*rows, strict=True)],
            )
        else:
            plain = connection.ops.adapt_unknown_value
            sets = ", ".join(f"{quote(name)} = %s" for name in names[len(where) :])
            sought = " AND ".join(f"{quote(name)} = %s" for name in names[: len(where)])
            cursor.executemany(
                f"UPDATE {table} SET {sets} WHERE {sought}",  # noqa: S608
                [[plain(value) for value in (*row[len(where) :], *row[: len(where)])] for row in rows],
            )
        return int(cursor.rowcount)


def _field(model: type[Model], name: str) -> "Field[Any, Any]":
    field = model._meta.get_field(name)
    assert isinstance(field, Field), f"{model.__name__}.{name} is no column"
    return field


def _column(model: type[Model], name: str) -> str:
    return str(_field(model, name).column)
