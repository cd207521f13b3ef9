"""Inbreeding and relationship of random pedigrees against those recorded from an independent public library."""

import json
import random

import pytest

from herd.values.inbreeding import inbreeding_coefficients, relationship_matrix
from herd.values.pedigree import Pedigree
from tests.values.recordedkin import PEDIGREES, RECORDED, SEED, random_pedigree

RECORD = json.loads(RECORDED.read_text())
EVERY = RECORD["pedigrees"]


def pedigree_of(parents):
    return Pedigree.of({
        place: tuple(None if one < 0 else one for one in both) for place, both in enumerate(parents)
    })  # fmt: skip


def test_the_record_holds_the_pedigrees_of_its_seed_and_is_worth_comparing_with():
    chance = random.Random(SEED)
    assert [one["parents"] for one in EVERY] == [
        random_pedigree(chance, chance.randint(4, 24)) for _ in range(PEDIGREES)
    ]
    assert sum(any(one["inbreeding"]) for one in EVERY) > PEDIGREES // 2
    assert "sgkit 0.10.0" in RECORD["about"]


@pytest.mark.parametrize("number", range(PEDIGREES))
def test_ours_are_the_recorded_ones(number):
    one = EVERY[number]
    pedigree = pedigree_of(one["parents"])
    everybody = range(len(one["parents"]))
    found = inbreeding_coefficients(pedigree)
    # A coefficient of so few generations is a sum of powers of two that a float holds whole.
    assert [float(found[place]) for place in everybody] == one["inbreeding"]
    rows = relationship_matrix(pedigree, list(everybody))
    assert [[float(value) for value in row[: place + 1]] for place, row in enumerate(rows)] == one["relationship"]
