"""What the admin tests share: browsers signed in, and rows of both outfits in each table."""

import os
from urllib.parse import urlsplit
from uuid import uuid4

import psycopg
import pytest
from django.core.cache import cache

from tests.config.admincast import fill, sign_in


@pytest.fixture(autouse=True)
def _forget_failures():
    cache.clear()


@pytest.fixture
def ada_in(cast):
    return sign_in(cast.ada)


@pytest.fixture
def ben_in(cast):
    return sign_in(cast.ben)


@pytest.fixture
def bench_rows(cast):
    return fill(cast.kettle_bench, cast.ada, "kettle", "840270000000417")


@pytest.fixture
def rim_rows(cast):
    return fill(cast.far_rim, cast.eve, "farrim", "840270000000999")


@pytest.fixture
def named_database():
    """A database of its own on the server that this run names, as the variable of a process; nothing for SQLite."""
    url = os.environ.get("NOTCHBOOK_DATABASE_URL", "")
    if not url:
        yield {}
        return
    name = f"{urlsplit(url).path.strip('/')}_{uuid4().hex[:8]}"
    with psycopg.connect(url.rsplit("/", 1)[0] + "/postgres", autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"')
        yield {"NOTCHBOOK_DATABASE_URL": f"{url.rsplit('/', 1)[0]}/{name}"}
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
