"""Lets SQLite know its tables; PostgreSQL sees to that by itself."""

from django.db import connection, transaction

from herd.accounts.models import Outfit

# Rows looked at in each index, so that a herd of a million costs no more than a small one.
SAMPLE = 400
LED_BY_OUTFIT = """
SELECT idx, tbl, stat FROM sqlite_stat1 WHERE EXISTS (
    SELECT 1 FROM pragma_index_info(sqlite_stat1.idx) WHERE seqno = 0 AND name = 'outfit_id')
"""


def renew_statistics() -> None:
    """Let SQLite learn how large its tables are, without which it reads a whole outfit to find a few rows by id.

    The sample ends after so many rows of one outfit, and SQLite would take that for all that an outfit has: what the
    indexes say of outfits is set to what an outfit has on average.
    """
    if connection.vendor != "sqlite":
        return
    outfits = Outfit.objects.count() or 1
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"PRAGMA analysis_limit={SAMPLE}")
        cursor.execute("ANALYZE")
        cursor.execute(LED_BY_OUTFIT)
        for index, table, stat in cursor.fetchall():
            if not stat.replace(" ", "").isdigit():
                continue
            rows, of_one, *rest = map(int, stat.split())
            told = " ".join(map(str, (rows, max(of_one, rows // outfits), *rest)))
            values = [told, table, index]
            cursor.execute("UPDATE sqlite_stat1 SET stat = %s WHERE tbl = %s AND idx = %s", values)
        # Makes this connection read them anew.
        cursor.execute("ANALYZE sqlite_schema")
