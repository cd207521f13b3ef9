"""What a large day's file is timed against: raw inserts of the rows it writes, and an import-export resource."""

import time
from typing import Any

from django.db import connection, models, transaction
from import_export.instance_loaders import CachedInstanceLoader
from import_export.resources import ModelResource
from tablib import Dataset

from herd.ledger.rows import in_steps

# In the order in which their rows point at each other.
TABLES = (
    "ledger_changeset", "intake_mergedline", "intake_stagedrow", "registry_group", "registry_animal", "registry_tag",
    "registry_tagwearing", "registry_groupmembership", "registry_event", "ledger_change",
)
Seconds = tuple[float, float]


class Weighing(models.Model):
    """One row of the file as a program would keep it that has but this table."""

    eid = models.CharField(max_length=15, unique=True)
    tag = models.CharField(max_length=20)
    day = models.DateField()
    clock = models.TimeField()
    weight = models.IntegerField()
    result = models.CharField(max_length=20)

    class Meta:
        app_label = "bench"

    def __str__(self) -> str:
        return self.eid


class WeighingResource(ModelResource):
    """Upserts by EID, in the settings that were fastest: bulk, no comparison, no report, instances loaded at once."""

    class Meta:
        model = Weighing
        import_id_fields = ("eid",)
        fields = ("eid", "tag", "day", "clock", "weight", "result")
        instance_loader_class = CachedInstanceLoader
        use_bulk = True
        batch_size = 1_000
        skip_diff = True
        skip_html_diff = True
        report_skipped = False
        use_transactions = True


def written_tables() -> dict[str, str]:
    """The last id in each of the tables, which the rows that come in go beyond."""
    with connection.cursor() as cursor:
        found = {}
        for table in TABLES:
            cursor.execute(f"SELECT max(id{'::text' if connection.vendor == 'postgresql' else ''}) FROM {table}")
            found[table] = cursor.fetchone()[0] or ""
        return found


def raw_seconds(before: dict[str, str]) -> tuple[Seconds, int]:
    """Take the rows out that were written since, and put them back as fast as the database takes them."""
    kept = {table: _rows_since(table, before[table]) for table in TABLES}
    with connection.constraint_checks_disabled(), transaction.atomic(), connection.cursor() as cursor:
        for table in reversed(TABLES):
            for some in in_steps([row[0] for row in kept[table][1]]):
                marks = ", ".join(["%s"] * len(some))
                cursor.execute(f"DELETE FROM {table} WHERE id IN ({marks})", some)
    began = time.perf_counter(), time.process_time()
    with transaction.atomic(), connection.cursor() as cursor:
        for table, (columns, rows) in kept.items():
            if not rows:
                continue
            if connection.vendor == "postgresql":
                with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
                    for row in rows:
                        copy.write_row(row)
            else:
                marks = ", ".join(["%s"] * len(rows[0]))
                cursor.executemany(f"INSERT INTO {table} ({columns}) VALUES ({marks})", rows)
    seconds = time.perf_counter() - began[0], time.process_time() - began[1]
    return seconds, sum(len(rows) for _, rows in kept.values())


def _rows_since(table: str, last: str) -> tuple[str, list[tuple[Any, ...]]]:
    """The columns and rows of a table with ids after that one, JSON as text: ids rise within a process."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {table} LIMIT 0")
        names = ["id", *(one[0] for one in cursor.description if one[0] != "id")]
        columns = ", ".join(f'"{name}"' for name in names)
        cast = "::uuid" if connection.vendor == "postgresql" and last else ""
        where = f" WHERE id > %s{cast}" if last else ""
        cursor.execute(f"SELECT {columns} FROM {table}{where}", [last] if last else [])
        return columns, cursor.fetchall()


def upsert_seconds(content: bytes, rows: int) -> Seconds:
    """Let the resource upsert the file's rows into a table that has half of them already."""
    with connection.schema_editor() as editor:
        editor.create_model(Weighing)
    lines = [line.split(",") for line in content.decode().splitlines()[1:]]
    names = ("eid", "tag", "day", "clock", "weight", "result")
    with transaction.atomic():
        half = lines[: rows // 2]
        Weighing.objects.bulk_create(Weighing(**dict(zip(names, line, strict=True))) for line in half)
    began = time.perf_counter(), time.process_time()
    result = WeighingResource().import_data(Dataset(*lines, headers=names), raise_errors=True)
    seconds = time.perf_counter() - began[0], time.process_time() - began[1]
    assert not result.has_errors()
    assert Weighing.objects.count() == rows
    return seconds
