"""What the OpenAPI document says beyond the views: problems, some fields, and where one answer leads on to."""

import re
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter

from api.links import link
from api.problems import MEDIA_TYPE, URN, VOCABULARY

PROBLEM = {
    "type": "object",
    "description": "Problem details (RFC 9457).",
    "required": ["type", "title", "status", "detail"],
    "properties": {
        "type": {"type": "string", "enum": [f"{URN}{word}" for word in VOCABULARY]},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["pointer", "detail"],
                "properties": {
                    "pointer": {"type": "string", "description": "Where in what was sent (RFC 6901)."},
                    "detail": {"type": "string"},
                    "animal": {"type": "string", "format": "uuid"},
                },
            },
        },
    },
}
ANSWER = {
    "description": "The call failed.",
    "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
}
REFERENCE = "#/components/schemas/"
# What is left once the space around a text is gone, as Python sees it.
NOT_BLANK = r"[^\s\x1c-\x1f\x85]"


class Told(AutoSchema):
    """Writes down one view's operation: `fields` with the names that it takes, one input shape of a change."""

    def get_override_parameters(self) -> list[Any]:
        """Add what the view's own parameters do not say."""
        view: Any = self.view
        if getattr(view, "action", "") not in {"list", "retrieve"} or not hasattr(view, "some_fields"):
            return []
        names: dict[str, Any] = {"type": "string", "enum": list(view.get_serializer_class()().fields)}
        shape: dict[str, Any] = {"type": "array", "items": names, "minItems": 1}
        words = "Only these members of each item, with commas between."
        return [OpenApiParameter("fields", shape, style="form", explode=False, description=words)]

    def get_summary(self) -> str | None:
        """The first sentence of what is said of the operation."""
        told: str | None = super().get_summary()
        return told or re.split(r"[.;:?]\s|\.$|\n", str(self.get_description()))[0][:120]

    def get_request_serializer(self) -> Any:
        """The shape of a change where the view declares one."""
        shape = getattr(self.view, "input_serializer", None)
        is_change = getattr(self.view, "action", "") == "partial_update"
        return shape if shape and is_change else super().get_request_serializer()


def complete(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Add to each operation what it may fail with, what it leaves out where asked, and where it leads."""
    schemas = result.setdefault("components", {}).setdefault("schemas", {})
    schemas["Problem"] = PROBLEM
    _spell_out_nulls(result)
    _say_no_blanks(result)
    for _path, _method, told in _operations(result):
        told["responses"]["default"] = ANSWER
        if any(one["name"] == "fields" for one in told.get("parameters", ())):
            _leave_out(told, schemas)
    link(result)
    return result


def _operations(result: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in result["paths"].items():
        for method, told in methods.items():
            yield path, method, told


def _spell_out_nulls(node: Any) -> None:
    """Say of what may be null which of the two a format belongs to."""
    if isinstance(node, list):
        for one in node:
            _spell_out_nulls(one)
    if not isinstance(node, dict):
        return
    kinds = node.get("type")
    if isinstance(kinds, list) and "null" in kinds and len(kinds) == 2 and "enum" not in node:
        kept = {key: node.pop(key) for key in ("title", "description", "default", "readOnly") if key in node}
        rest = {**node, "type": next(one for one in kinds if one != "null")}
        node.clear()
        node.update({**kept, "anyOf": [rest, {"type": "null"}]})
    for one in list(node.values()):
        _spell_out_nulls(one)


def _say_no_blanks(node: Any) -> None:
    """Say of a text that must not be empty that spaces alone are nothing."""
    if not isinstance(node, list | dict):
        return
    for one in node if isinstance(node, list) else node.values():
        _say_no_blanks(one)
    if isinstance(node, dict) and node.get("type") == "string" and node.get("minLength"):
        # A format or a pattern of its own says it by itself.
        node.update({"pattern": NOT_BLANK} if not {"enum", "format", "pattern"} & node.keys() else {})


def _leave_out(told: dict[str, Any], schemas: dict[str, Any]) -> None:
    """Allow for items with some members only, where `fields` asks for that."""
    content = told["responses"]["200"]["content"]["application/json"]
    schema = content["schema"]
    name = schema["$ref"].removeprefix(REFERENCE)
    if "items" in schemas[name].get("properties", {}):
        page = deepcopy(schemas[name])
        item = page["properties"]["items"]["items"]["$ref"].removeprefix(REFERENCE)
        schemas[f"{item}Some"] = _some(schemas[item])
        page["properties"]["items"]["items"] = {"$ref": f"{REFERENCE}{item}Some"}
        schemas[f"{name}Some"] = page
    else:
        schemas[f"{name}Some"] = _some(schemas[name])
    content["schema"] = {"anyOf": [schema, {"$ref": f"{REFERENCE}{name}Some"}]}


def _some(schema: dict[str, Any]) -> dict[str, Any]:
    found = {key: value for key, value in schema.items() if key != "required"}
    return {**found, "description": "Only the members that `fields` asked for."}
