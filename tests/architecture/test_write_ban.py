"""The two faces write nothing themselves: every change goes through a service."""

import ast

import pytest

from tests.architecture.sources import modules

WRITES = {
    "save", "create", "delete", "get_or_create", "update_or_create",
    "acreate", "adelete", "asave", "aget_or_create", "aupdate_or_create", "aupdate",
}  # fmt: skip
QUERIES = {"filter", "exclude", "all", "order_by", "select_related", "using", "get_queryset"}
# Sessions, the cache, and a workbook or sheet on its way out are not the record; signing in and out goes through
# django.contrib.auth's functions.
ALLOWED_RECEIVERS = {"request.session", "self.request.session", "cache", "book", "canvas"}


def writes_in(tree: ast.AST) -> list[tuple[int, str]]:
    """Return line and text of each call that would write to the database."""
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    methods = [node.func for node in calls if isinstance(node.func, ast.Attribute)]
    return [(method.lineno, ast.unparse(method)) for method in methods if is_write(method)]


def is_write(method: ast.Attribute) -> bool:
    """Whether the method called writes; `update` counts only on a query, since dictionaries have it too."""
    if ast.unparse(method.value) in ALLOWED_RECEIVERS:
        return False
    if method.attr == "update":
        return is_query(method.value)
    return method.attr in WRITES or method.attr.startswith(("bulk_", "abulk_"))


def is_query(receiver: ast.expr) -> bool:
    """Whether the receiver is a model's `objects` or a query made from something."""
    names = {node.attr for node in ast.walk(receiver) if isinstance(node, ast.Attribute)}
    return bool(names & (QUERIES | {"objects"}))


def test_neither_face_writes_to_the_database():
    faces = modules("api", "herd/office")
    assert faces
    assert [f"{face.path}:{line} {text}" for face in faces for line, text in writes_in(face.tree)] == []


@pytest.mark.parametrize(
    "line",
    [
        "animal.save()",
        "Animal.objects.create(sex='cow')",
        "Animal.objects.filter(pk=1).update(sex='cow')",
        "self.get_queryset().update(sex='cow')",
        "Animal.objects.bulk_create([])",
        "form.save()",
        "group.delete()",
        "Person.objects.get_or_create(username='ada')",
    ],
)
def test_a_write_would_be_noticed(line):
    assert writes_in(ast.parse(line))


@pytest.mark.parametrize(
    "line", ["request.session.save()", "seen.update(more)", "animals.register(sex='cow')"]
)
def test_what_is_no_write_passes(line):
    assert writes_in(ast.parse(line)) == []
