"""What the admin tests share: browsers signed in, and rows of both outfits in each table."""

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
