"""Addresses of the reports."""

from django.urls import URLPattern, path

from herd.office.views.reports import due, headanimals, index, medicines, moving, samples, statement, vaccines, week

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
    path("reports/samples/", samples.samples, name="report-samples"),
]
