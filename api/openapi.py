"""What the OpenAPI document says beyond the views: the problem that any call may answer."""

from typing import Any

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


def add_problems(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Add the problem to each operation's answers."""
    result.setdefault("components", {}).setdefault("schemas", {})["Problem"] = PROBLEM
    for methods in result["paths"].values():
        for told in methods.values():
            told["responses"]["default"] = ANSWER
    return result
