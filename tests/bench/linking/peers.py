"""General-purpose record linkage on the same records, searched by the same columns as ours."""

from collections.abc import Callable
from typing import Any

import pandas
import recordlinkage
import splink.comparison_library as comparisons
from splink import DuckDBAPI, Linker, SettingsCreator, block_on

from tests.bench.linking.persons import BLOCKS, SAME_AND_NEAR, Pair

WORDS = ("given_name", "surname", "address_1", "address_2", "suburb")
Frame = pandas.DataFrame


def features(left: Frame, right: Frame | None) -> Frame:
    """recordlinkage's comparisons: words by Jaro and Winkler from 0.85 on, the rest as they are."""
    index = recordlinkage.Index()
    for column in BLOCKS:
        index.block(column)
    compare = recordlinkage.Compare()
    for column in SAME_AND_NEAR:
        if column in WORDS:
            compare.string(column, column, method="jarowinkler", threshold=0.85, label=column)
        else:
            compare.exact(column, column, label=column)
    tables = (left,) if right is None else (left, right)
    return compare.compute(index.index(*tables), *tables)


def recordlinkage_ecm(left: Frame, right: Frame | None, _true: pandas.MultiIndex) -> set[Pair]:
    """Expectation and conditional maximisation, learned without truth."""
    return set(recordlinkage.ECMClassifier().fit_predict(features(left, right)))


def recordlinkage_kmeans(left: Frame, right: Frame | None, _true: pandas.MultiIndex) -> set[Pair]:
    """Two clusters, learned without truth."""
    return set(recordlinkage.KMeansClassifier().fit_predict(features(left, right)))


def recordlinkage_logistic(left: Frame, right: Frame | None, true: pandas.MultiIndex) -> set[Pair]:
    """Logistic regression that was taught by the truth of every second pair, and so has seen half of it."""
    found = features(left, right)
    known = found.index.intersection(true)
    classifier = recordlinkage.LogisticRegressionClassifier()
    taught = found.iloc[::2]
    classifier.fit(taught, known.intersection(taught.index))
    return set(classifier.predict(found))


def splink_at(probability: float) -> Callable[[Frame, Frame | None, Any], set[Pair]]:
    """splink, learned without truth, with pairs accepted from this probability on."""

    def linked(left: Frame, right: Frame | None, _true: pandas.MultiIndex) -> set[Pair]:
        linker = _linker(left, right)
        rows = linker.inference.predict(threshold_match_probability=probability).as_pandas_dataframe()
        return set(zip(rows["unique_id_l"], rows["unique_id_r"], strict=True))

    return linked


def _linker(left: Frame, right: Frame | None) -> Linker:
    settings = SettingsCreator(
        link_type="dedupe_only" if right is None else "link_only",
        comparisons=[
            comparisons.JaroWinklerAtThresholds(column, [0.92, 0.8])
            if column in WORDS
            else comparisons.DamerauLevenshteinAtThresholds(column, [1, 2])
            for column in SAME_AND_NEAR
        ],
        blocking_rules_to_generate_predictions=[block_on(column) for column in BLOCKS],
        retain_matching_columns=False,
    )
    base = DuckDBAPI()
    tables = [base.register(frame.reset_index(names="unique_id")) for frame in (left, right) if frame is not None]
    linker = Linker(tables if len(tables) > 1 else tables[0], settings, log_level="ERROR")
    linker.training.estimate_probability_two_random_records_match([block_on("soc_sec_id")], recall=0.9)
    linker.training.estimate_u_using_random_sampling(max_pairs=1e6, seed=1)
    for column in ("soc_sec_id", "date_of_birth"):
        linker.training.estimate_parameters_using_expectation_maximisation(block_on(column))
    return linker


PEERS: dict[str, Callable[[Frame, Frame | None, Any], set[Pair]]] = {
    "recordlinkage ECM": recordlinkage_ecm,
    "recordlinkage k-means": recordlinkage_kmeans,
    "recordlinkage taught by half of the truth": recordlinkage_logistic,
    "splink, p >= 0.5": splink_at(0.5),
    "splink, p >= 0.99": splink_at(0.99),
}
