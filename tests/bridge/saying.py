"""The invented lines that the tests' reader and scale send, and the settings that read them."""

import re
from pathlib import Path

from herd.bridge import joining, steadiness
from herd.bridge.patterns import Flag, Words
from herd.bridge.settings import Port, Serial, Settings
from herd.values.mass import NANOGRAMS, WeightUnit

KG = NANOGRAMS[WeightUnit.KG]
FIRST, SECOND, THIRD = "840270000000123", "840270000000456", "840270000000789"
READER = Words([re.compile(r"(?P<number>[0-9A-Z ]{15,20})", re.ASCII)])
SCALE = Words(
    [
        re.compile(r"(?P<status>[A-Z]?)\s*(?P<weight>[-+]?\s*[0-9.]+)\s*(?P<unit>[a-z]+)", re.ASCII),
        re.compile(r"(?P<status>OL)", re.ASCII),
    ],
    {"M": Flag.MOTION, "OL": Flag.OVERLOAD, "Z": Flag.ZERO, "N": Flag.TARE, "E": Flag.ERROR},
)
STEADY = steadiness.Rule(
    spread=2 * KG, seconds=1.0, least=4, gap=1.0, empty_below=15 * KG, empty_for=0.5, differs=10 * KG
)


def settings(tmp_path: Path, **more: object) -> Settings:
    """Settings with a reader and a scale."""
    told = {
        "store": tmp_path / "scale.db",
        "keep": tmp_path / "bridge.db",
        "ports": (Port("reader", Serial("none"), READER), Port("scale", Serial("none"), SCALE)),
        "steady": STEADY,
        "joining": joining.Rule(),
    }
    return Settings(**{**told, **more})
