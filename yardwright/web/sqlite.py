"""The SQLite that every part of the app uses, before Django loads its own.

Debian 12 and others carry one in which two connections that checkpoint at the same instant can,
rarely, damage the file (3.7.0 to 3.51.2). The wheel brings a mended one.
"""

import sqlite3
import sys

MENDED = (3, 51, 3)

if sqlite3.sqlite_version_info < MENDED:
    import pysqlite3
    from pysqlite3 import dbapi2

    sys.modules["sqlite3"], sys.modules["sqlite3.dbapi2"] = pysqlite3, dbapi2
    sqlite3 = pysqlite3

__all__ = ["MENDED", "sqlite3"]
