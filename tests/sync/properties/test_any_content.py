"""Whatever is in an operation, it gets a final answer, and the outbox empties (I8)."""

import json
from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herd.registry.models import Event
from herd.sync.models import Operation
from tests.sync.properties.fieldphone import CLIENT, FINAL, START
from tests.sync.properties.machine import rolled_back
from tests.sync.properties.world import World, eid_of, make_world

KINDS = [
    "event", "event.void", "event.correct", "animal.register", "animal.edit",
    "tag.on", "tag.off", "move", "ruling", "x",
]
WORDS = st.sampled_from(
    ["", "eid", "weight", "lost", "\x00", "\ud800", "a" * 500, "2026-13-40", "NaN", "1e999", "-1", "½"]
)
NUMBERS = st.one_of(st.integers(-2, 2), st.sampled_from([10**30, -(10**30), 2**63, 1e308, float("inf")]))
SCALARS = st.one_of(st.none(), st.booleans(), NUMBERS, WORDS, st.text(max_size=8))
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(WORDS, inner, max_size=3)),
    max_leaves=6,
)
HERD, PENS, STRANGE = "herd", "pens", "strange"
IDS = st.sampled_from([HERD, PENS, STRANGE])
EVENT_FIELDS = [
    "weight", "unit", "calf", "tube", "score", "result", "days", "product", "withdrawal_days", "to", "location",
]
FACTS = [
    "breed", "coat", "origin", "born_on", "born_precision", "dam", "sire", "entry_class", "entered_on", "x",
]
TAGS = st.lists(st.one_of(VALUES, st.fixed_dictionaries({"kind": WORDS, "number": VALUES})), max_size=3)
MEMBERS = st.fixed_dictionaries(
    {},
    optional={
        "kind": st.one_of(st.sampled_from(["weight", "calving", "treatment", "sale", "eid", "vid", "tattoo"]), VALUES),
        "data": st.one_of(st.dictionaries(st.sampled_from(EVENT_FIELDS), st.one_of(IDS, VALUES), max_size=4), VALUES),
        "event": st.one_of(IDS, VALUES),
        "group": st.one_of(IDS, VALUES),
        "finding": st.one_of(IDS, VALUES),
        "reason": VALUES,
        "number": st.one_of(st.just(eid_of(100)), st.just(eid_of(777)), VALUES),
        "new_number": st.one_of(st.just(eid_of(101)), VALUES),
        "ended": st.one_of(st.just("lost"), VALUES),
        "colour": VALUES,
        "facts": st.one_of(st.dictionaries(st.sampled_from(FACTS), VALUES, max_size=4), VALUES),
        "tags": st.one_of(TAGS, VALUES),
    },
)
SETS = st.dictionaries(
    st.sampled_from(FACTS),
    st.one_of(VALUES, st.fixed_dictionaries({"from": st.one_of(IDS, VALUES), "to": st.one_of(IDS, VALUES)})),
    max_size=3,
)
SUBJECTS = st.one_of(
    st.fixed_dictionaries({"animal": st.one_of(IDS, VALUES)}),
    st.just({"eid": eid_of(100)}),
    st.dictionaries(st.sampled_from(["eid", "vid", "tattoo", "brand", "tube", "vid_colour"]), VALUES, max_size=3),
    VALUES,
)
OPERATIONS = st.one_of(
    VALUES,
    st.fixed_dictionaries(
        {"kind": st.sampled_from(KINDS)},
        optional={
            "op_id": st.one_of(IDS, VALUES),
            "dseq": st.one_of(st.integers(0, 9), VALUES),
            "at": VALUES,
            "mono_ms": st.one_of(st.integers(0, 10), NUMBERS),
            "boot": st.one_of(st.just("b"), VALUES),
            "group": VALUES,
            "subject": SUBJECTS,
            "data": st.one_of(MEMBERS, MEMBERS, VALUES),
            "set": st.one_of(SETS, VALUES),
        },
    ),
)


def _named(value, ids):
    """Put ids of the record where the drawn operation names them."""
    if isinstance(value, dict):
        return {key: _named(inner, ids) for key, inner in value.items()}
    if isinstance(value, list):
        return [_named(inner, ids) for inner in value]
    return ids.get(value, value) if isinstance(value, str) else value


def _whole(body, world: World):
    ids = {HERD: str(world.herd[0]), PENS: str(world.groups[1]), STRANGE: str(uuid4())}
    body = _named(body, ids)
    if isinstance(body, dict):
        body = {"op_id": str(uuid4()), "dseq": 1, "at": START.isoformat(), **body}
    return body


def _push(world: World, *bodies):
    clock = {"now": (START + timedelta(hours=1)).isoformat(), "mono_ms": 5, "boot": "b"}
    headers = {"Authorization": f"Bearer {world.phones[0].token}"}
    content = json.dumps({"ops": bodies, "clock": clock}).replace("Infinity", "1e999")
    return CLIENT.generic("POST", "/api/v1/sync/push/", content, content_type="application/json", headers=headers)


@pytest.mark.django_db
@settings(max_examples=25, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
@given(drawn=st.lists(OPERATIONS, min_size=1, max_size=3))
def test_any_content_gets_a_final_answer_and_stops_no_other(drawn):
    with rolled_back():
        world = make_world()
        bodies = [_whole(one, world) for one in drawn]
        good = {
            "op_id": str(uuid4()), "dseq": 9, "kind": "event", "at": START.isoformat(),
            "subject": {"eid": eid_of(103)}, "data": {"kind": "weight", "data": {"weight": "1180", "unit": "lb"}},
        }
        for _ in range(2):
            answer = _push(world, *bodies, good)
            assert answer.status_code == 200, answer.content
            results = answer.json()["results"]
            assert {one["status"] for one in results} <= FINAL
            assert results[-1]["status"] == "applied"
        assert Event.objects.filter(pk=UUID(good["op_id"])).count() == 1
        assert Operation.objects.filter(outfit=world.outfit).exists()
