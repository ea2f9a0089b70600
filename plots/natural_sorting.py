"""The order in which people count, for a database to sort by."""

from typing import Any

from django.db.models import CharField, Func

from plots.natural_order import DIGITS, natural_key


class Naturally(Func):
    """``natural_key`` as one expression: ``order_by(Naturally("number"))``.

    SQLite is lent the function. PostgreSQL pads every number with noughts and cuts what is too long; the
    collation is that of the code points, as in Python.
    """

    function = "commonrow_naturally"
    output_field = CharField()
    arity = 1

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> Any:
        padded = f"regexp_replace(lower(%(expressions)s), '([0-9]+)', '{'0' * DIGITS}\\1', 'g')"
        cut = f"regexp_replace({padded}, '[0-9]+([0-9]{{{DIGITS}}})', '\\1', 'g')"
        return self.as_sql(compiler, connection, template=f'({cut} COLLATE "C")', **context)


def lend_to_sqlite(connection: Any, **_: Any) -> None:
    """Give a new connection to SQLite its function; a receiver of ``connection_created``."""
    if connection.vendor == "sqlite":
        connection.connection.create_function(Naturally.function, 1, natural_key, deterministic=True)
