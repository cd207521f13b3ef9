"""Every table of the record is in the archive, in an order in which it can be loaded."""

from django.apps import apps

from herd.archive.schema import APPS
from herd.archive.tables import LEFT_OUT, TABLES


def test_every_table_of_the_record_is_in_the_archive_or_left_out_by_name():
    models = {
        model for app in APPS for model in apps.get_app_config(app).get_models(include_auto_created=True)
    }
    declared = {table.model for table in TABLES}
    assert models - declared - set(LEFT_OUT) == set()
    assert not declared & set(LEFT_OUT)


def test_every_room_that_has_tables_is_asked():
    ours = {config.label for config in apps.get_app_configs() if config.name.startswith("herd.")}
    with_tables = {label for label in ours if list(apps.get_app_config(label).get_models())}
    assert with_tables <= set(APPS)


def test_a_table_comes_after_those_that_its_rows_name():
    seen = set()
    for table in TABLES:
        seen.add(table.model)
        named = {field.related_model for field in table.fields if field.is_relation}
        assert named <= seen, table.label


def test_each_table_stands_in_the_archive_once():
    entries = [table.entry for table in TABLES]
    assert len(set(entries)) == len(entries)
