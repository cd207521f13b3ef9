"""Each published check value comes out as expected, and docs/checkvalues.md lists them as they are."""

import pytest

from tests.values.checkvalues.written import CHECKS, PATH, whole


@pytest.mark.parametrize("one", CHECKS, ids=lambda one: one.name)
def test_check_value(one):
    assert one.computed == one.expected, f"{one.given} ({one.source})"


def test_no_two_check_values_share_a_name():
    names = [one.name for one in CHECKS]
    assert sorted(names) == sorted(set(names))


def test_every_check_value_names_what_goes_in_and_its_source():
    assert all(one.given and one.source and one.expected for one in CHECKS)


def test_the_document_is_as_made():
    # To make it anew: python -m tests.values.checkvalues
    assert PATH.read_text(encoding="utf-8") == whole()
