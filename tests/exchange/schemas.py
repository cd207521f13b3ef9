"""The standard's schemas as output is held to them: formats checked, unknown members refused at any depth."""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator, FormatChecker
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

FOLDER = Path(__file__).resolve().parents[2].parent / "shared" / "ade"
BASE = "https://schemas.invalid/ade/"
FORMATS = FormatChecker(["date-time", "uri"])
EXTENSION = "notchbook"

needs_schemas = pytest.mark.skipif(
    not FOLDER.is_dir(), reason=f"the standard's schemas are not in {FOLDER}; output was not held to them"
)


def _strict(schema: Any) -> Any:
    """The schema with members it does not name refused wherever an object stands as a member or in a list."""
    if isinstance(schema, list):
        return [_strict(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    found = {key: _strict(one) for key, one in schema.items()}
    found.pop("discriminator", None)
    for key, one in found.get("properties", {}).items():
        found["properties"][key] = _closed(one)
    if isinstance(found.get("items"), dict):
        found["items"] = _closed(found["items"])
    return found


def _closed(schema: dict[str, Any]) -> dict[str, Any]:
    is_object = "$ref" in schema or "allOf" in schema or schema.get("type") == "object"
    return {**schema, "unevaluatedProperties": False} if is_object else schema


@cache
def _registry() -> Registry[Any]:
    resources = []
    for path in FOLDER.rglob("*.json"):
        document = _strict(json.loads(path.read_text(encoding="utf-8-sig")))
        uri = BASE + path.relative_to(FOLDER).as_posix()
        resources.append((uri, Resource.from_contents(document, default_specification=DRAFT202012)))
    return Registry().with_resources(resources)


@cache
def validator(name: str, folder: str = "resources") -> Draft202012Validator:
    """What checks a resource of this name; our extension may stand beside the standard's members."""
    schema = {
        "$ref": f"{BASE}{folder}/{name}.json",
        "properties": {EXTENSION: {"type": "object"}},
        "unevaluatedProperties": False,
    }
    return Draft202012Validator(schema, registry=_registry(), format_checker=FORMATS)


def faults_of(resource: dict[str, Any]) -> Iterator[str]:
    """What speaks against a resource, with the place."""
    for error in validator(resource["resourceType"]).iter_errors(resource):
        yield f"{resource['resourceType']} {error.json_path}: {error.message[:200]}"
