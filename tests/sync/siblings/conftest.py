"""Three databases: the office's, and those of two installations that follow it."""

from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connections
from django.test.utils import setup_databases, teardown_databases

from tests.sync.siblings.installation import Installation, rolled_back
from tests.sync.siblings.world import Place, World, make_world

NAMES = ("office", "laptop", "branding pen")


@pytest.fixture(scope="session")
def databases(django_db_setup: None, django_db_blocker: Any) -> Iterator[list[Installation]]:
    """The tests' own database and two copies of it."""
    made: list[tuple[Any, str]] = []
    with django_db_blocker.unblock():
        own = connections["default"]
        # None is made where no test of the run asks for one in the usual way, as these do not.
        is_made = own.settings_dict["NAME"] == own.creation._get_test_db_name()
        here = [] if is_made else setup_databases(verbosity=0, interactive=False, aliases=["default"])
        found = [Installation(NAMES[0], own)]
        if own.vendor == "sqlite":
            # What still lies in the write-ahead log would not be in the copies.
            with own.cursor() as cursor:
                cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        for number, name in enumerate(NAMES[1:], 1):
            suffix = f"sibling{number}"
            own.creation.clone_test_db(suffix=suffix, verbosity=0, autoclobber=True)
            settings = deepcopy(own.creation.get_test_db_clone_settings(suffix))
            copy = own.__class__(settings, alias="default")
            made.append((copy, settings["NAME"]))
            found.append(Installation(name, copy))
        yield found
        for copy, name in made:
            copy.close()
            copy.creation._destroy_test_db(name, verbosity=0)
        teardown_databases(here, verbosity=0)


@pytest.fixture(scope="module")
def beginning(
    databases: list[Installation], django_db_blocker: Any, request: pytest.FixtureRequest
) -> Iterator[World]:
    """A herd at the office and a laptop that has taken its first copy, made once for a module.

    The branding pen follows as well where the module says so by WITH_PEN.
    """
    with django_db_blocker.unblock():
        for one in databases:
            one.line = None
        with rolled_back(*databases):
            yield make_world(databases, with_pen=getattr(request.module, "WITH_PEN", False))


@pytest.fixture
def world(beginning: World, django_db_blocker: Any) -> Iterator[World]:
    """The same, which is as it was when the test is over."""
    with django_db_blocker.unblock(), rolled_back(*(place.at for place in beginning.places)):
        cache.clear()
        yield replace(beginning, **{name: Place(getattr(beginning, name).at) for name in ("office", "laptop", "pen")})


@pytest.fixture
def installations(databases: list[Installation], db: None) -> Iterator[list[Installation]]:
    """The office and two empty installations, which are as they were when the test is over."""
    for one in databases:
        one.line = None
    with rolled_back(*databases[1:]):
        yield databases
