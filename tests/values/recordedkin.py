"""Records inbreeding and relationships of random pedigrees as sgkit reckons them, to hold ours against.

    python -m tests.values.recordedkin

Run by hand where sgkit and Notchbook's sources are at hand; it writes recordedkin.json beside itself. sgkit is an
independent public library for genetics and no requirement of Notchbook.
"""

import json
import random
from pathlib import Path
from typing import Any

RECORDED = Path(__file__).with_suffix(".json")
PEDIGREES = 60
SEED = 20_250_301
# How often a parent is entered, and how often it is one of the last few animals: close kin meet often.
KNOWN, CLOSE = 0.8, 0.5
LAST_FEW = 6


def random_pedigree(chance: random.Random, many: int) -> list[list[int]]:
    """Sire and dam of each animal by place, -1 where unknown; even places are males, odd ones females."""
    return [[_parent(chance, place, sex) for sex in (0, 1)] for place in range(many)]


def _parent(chance: random.Random, place: int, sex: int) -> int:
    older = range(sex, place, 2)
    if not older or chance.random() > KNOWN:
        return -1
    return chance.choice(older[-LAST_FEW // 2 :] if chance.random() < CLOSE else older)


def reckoned(parents: list[list[int]]) -> dict[str, Any]:
    """A pedigree with sgkit's coefficients and the lower half of its relationship matrix, row by row."""
    import numpy  # noqa: ICN001, PLC0415 (only where this is run by hand)
    import sgkit  # noqa: PLC0415
    import xarray  # noqa: PLC0415

    herd = xarray.Dataset()
    herd["parent"] = ["samples", "parents"], numpy.array(parents)
    kinship = sgkit.pedigree_kinship(herd, return_relationship=True, allow_half_founders=True)
    inbreeding = sgkit.pedigree_inbreeding(herd, allow_half_founders=True)["stat_pedigree_inbreeding"].values
    rows = kinship["stat_pedigree_relationship"].values
    return {
        "parents": parents,
        "inbreeding": [float(one) for one in inbreeding],
        "relationship": [[float(one) for one in row[: place + 1]] for place, row in enumerate(rows)],
    }


def main() -> None:
    """Write the record."""
    import sgkit  # noqa: PLC0415

    chance = random.Random(SEED)  # noqa: S311
    every = [reckoned(random_pedigree(chance, chance.randint(4, 24))) for _ in range(PEDIGREES)]
    about = f"Inbreeding and relationship of {PEDIGREES} random pedigrees by sgkit {sgkit.__version__}, seed {SEED}."
    lines = ",\n".join(json.dumps(one) for one in every)
    RECORDED.write_text(f'{{"about": {json.dumps(about)}, "pedigrees": [\n{lines}\n]}}\n')


if __name__ == "__main__":
    main()
