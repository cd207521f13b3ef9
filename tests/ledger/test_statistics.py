"""What SQLite knows of its tables: that an outfit has many rows, however small the sample."""

import pytest
from django.db import connection
from django.utils import timezone

from herd.ledger.rows import insert_rows
from herd.ledger.statistics import SAMPLE, renew_statistics
from herd.registry.models import Event
from tests.cast import register, vid_tag


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL knows its tables by itself.")
def test_an_outfit_is_known_to_have_more_rows_than_the_sample(kettle_bench):
    animals = [register(kettle_bench, vid_tag(str(number))) for number in range(100)]
    same = {"outfit": kettle_bench, "kind": "note", "recorded_at": timezone.now()}
    insert_rows(Event(animal_id=animals[number % 100], **same) for number in range(SAMPLE * 5))
    renew_statistics()
    few = Event.objects.of(kettle_bench).filter(animal__in=animals[:30])
    statement, values = few.order_by().query.sql_with_params()
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {statement}", values)
        plan = " ".join(row[3] for row in cursor.fetchall())
    assert "event_by_animal" in plan
