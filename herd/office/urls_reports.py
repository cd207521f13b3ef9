"""Addresses of the reports."""

from django.urls import URLPattern, path

from herd.office.views.reports import (
    breeding,
    breedingkin,
    breedingreplacements,
    calving,
    due,
    groupweights,
    growth,
    growthcalves,
    growthmeasured,
    headanimals,
    index,
    medicines,
    moving,
    samples,
    statement,
    vaccines,
    week,
)

urlpatterns: list[URLPattern] = [
    path("reports/", index.reports, name="reports"),
    path("reports/week/", week.week, name="report-week"),
    path("reports/week/block/", week.block, name="report-week-block"),
    path("reports/due/", due.due, name="report-due"),
    path("reports/head/", statement.head, name="report-head"),
    path("reports/head/animals/", headanimals.animals, name="report-head-animals"),
    path("reports/moving/", moving.moving, name="report-moving"),
    path("reports/treatments/", medicines.treatments, name="report-treatments"),
    path("reports/vaccines/", vaccines.vaccines, name="report-vaccines"),
    path("reports/gain/", growth.gain, name="report-gain"),
    path("reports/gain/animals/", growth.animals, name="report-gain-animals"),
    path("reports/weights/", groupweights.weights, name="report-weights"),
    path("reports/weights/animals/", groupweights.animals, name="report-weights-animals"),
    path("reports/calves/", growthcalves.calves, name="report-calves"),
    path("reports/calves/animals/", growthcalves.animals, name="report-calves-animals"),
    path("reports/sizes/", growthmeasured.sizes, name="report-sizes"),
    path("reports/sizes/animals/", growthmeasured.animals, name="report-sizes-animals"),
    path("reports/calving/", calving.calving, name="report-calving"),
    path("reports/calving/animals/", calving.animals, name="report-calving-animals"),
    path("reports/breeding/", breeding.breeding, name="report-breeding"),
    path("reports/breeding/animals/", breeding.animals, name="report-breeding-animals"),
    path("reports/replacements/", breedingreplacements.replacements, name="report-replacements"),
    path(
        "reports/replacements/animals/", breedingreplacements.animals, name="report-replacements-animals"
    ),
    path("reports/breeding/kin/", breedingkin.kin, name="report-breeding-kin"),
    path("reports/breeding/kin/animals/", breedingkin.animals, name="report-breeding-kin-animals"),
    path("reports/samples/", samples.samples, name="report-samples"),
]
