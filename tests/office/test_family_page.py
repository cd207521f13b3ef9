"""Parents and offspring in the office, and what the animal page offers beside them."""

from datetime import date

import pytest
from django.urls import reverse

from herd.registry.models import Animal
from herd.registry.services import events
from herd.registry.services.batch import Batch, NewAnimal, NewEvent
from herd.registry.services.writer import write
from tests.cast import entry, register, vid_tag
from tests.office.conftest import weigh


def page_of(client, name, animal):
    return " ".join(client.get(reverse(f"office:{name}", args=[animal])).content.decode().split())


def test_parents_and_offspring_lead_to_each_other(ada_in, herd):
    calf = page_of(ada_in, "animal-family", herd.calf)
    for parent in (herd.cow, herd.bull):
        assert reverse("office:animal", args=[parent]) in calf
    cow = page_of(ada_in, "animal-family", herd.cow)
    assert "88 green" in cow
    assert "1 in all" in cow
    assert "5 orange" in cow


def test_offspring_leave_as_a_table_with_numbers_as_text(ada_in, cast, herd):
    weigh(cast.kettle_bench, herd.calf, date(2026, 6, 1), "300")
    answer = ada_in.get(reverse("office:animal-family", args=[herd.cow]), {"as": "csv"})
    lines = b"".join(answer.streaming_content).decode("utf-8-sig").splitlines()
    assert lines[0].startswith("Animal,EID,Born,Class,Status")
    assert lines[1].startswith("88 green,,2026-04-01,steer")
    assert ",300,2026-06-01," in lines[1]
    assert ada_in.get(reverse("office:animal-family", args=[herd.cow]), {"as": "doc"}).status_code == 404


def test_an_animal_alone_says_how_family_comes_in(ada_in, herd):
    page = page_of(ada_in, "animal-family", herd.heifer)
    assert "Neither dam nor sire is known." in page
    assert "No calf names it as dam or sire." in page


def test_calves_born_dead_are_counted_beside_the_living(ada_in, cast, herd):
    dead = NewEvent(herd.cow, "calving", date(2025, 4, 1), {"outcome": "dead"})
    events.record(entry=entry(cast.kettle_bench), events=[dead])
    assert "1 in all, and 1 born dead" in page_of(ada_in, "animal-family", herd.cow)


def test_many_offspring_are_paged_and_the_animal_page_shows_a_few(ada_in, cast, herd, django_assert_max_num_queries):
    calves = [NewAnimal({"entry_class": "heifer", "sire_id": herd.bull}) for _ in range(130)]
    write(entry(cast.kettle_bench), Batch(animals=calves))
    url = reverse("office:animal-family", args=[herd.bull])
    with django_assert_max_num_queries(20):
        first = ada_in.get(url)
    second = ada_in.get(url, {"after": first.context["next"]})
    shown = [calf.pk for page in (first, second) for calf in page.context["offspring"]]
    assert len(shown) == len(set(shown)) == first.context["offspring_count"] == 131
    page = ada_in.get(reverse("office:animal", args=[herd.bull]))
    assert len(page.context["calves"]) < 20
    assert url in page.content.decode()


def test_an_animal_not_on_hand_says_so_first(ada_in, cast, herd):
    sale = NewEvent(herd.cow, "sale", date(2025, 5, 1), {})
    events.record(entry=entry(cast.kettle_bench), events=[sale])
    page = page_of(ada_in, "animal", herd.cow)
    assert page.index("Not on hand: sold since May 1, 2025.") < page.index("Facts</h2>")
    assert "?kind=sale" not in page
    assert "Not on hand" not in page_of(ada_in, "animal", herd.heifer)


@pytest.mark.parametrize(
    ("who", "offered", "not_offered"),
    [
        ("heifer", ["calving", "sale", "death", "missing"], ["castration", "found"]),
        ("bull", ["castration", "sale", "death", "missing"], ["calving", "found"]),
        ("calf", ["sale", "death", "missing"], ["castration", "calving", "found"]),
    ],
)
def test_what_may_become_of_it_is_one_touch_away(ada_in, herd, who, offered, not_offered):
    kinds = {kind.key for kind in _quick(ada_in, getattr(herd, who))}
    assert kinds >= set(offered)
    assert not kinds & set(not_offered)


def _quick(client, animal):
    return client.get(reverse("office:animal", args=[animal])).context["quick_kinds"]


def test_a_missing_animal_can_be_found_again(ada_in, cast, herd):
    gone = NewEvent(herd.bull, "missing", date(2025, 5, 1), {})
    events.record(entry=entry(cast.kettle_bench), events=[gone])
    assert [kind.key for kind in _quick(ada_in, herd.bull)] == ["found"]


def test_a_colour_beside_the_number_tells_parents_apart(ada_in, cast, herd):
    other = register(cast.kettle_bench, vid_tag("417", "blue"))
    data = {
        "entry_class": "steer", "born_on": "2026-04-01", "born_precision": "day", "breed": "", "coat": "",
        "origin": "", "sire": "5", "reason": "Seen together",
    }  # fmt: skip
    url = reverse("office:animal-correct", args=[herd.calf])
    assert "2 animals answer to 417" in ada_in.post(url, {**data, "dam": "417"}).content.decode()
    assert ada_in.post(url, {**data, "dam": "417 blue"}).status_code == 302
    assert Animal.objects.get(pk=herd.calf).dam_id == other


def test_an_ancestor_circle_is_refused_beside_the_parent(ada_in, cast, herd):
    heifer = register(cast.kettle_bench, vid_tag("301"), animal_class="heifer", dam_id=herd.heifer)
    data = {"entry_class": "heifer", "born_precision": "day", "dam": "301", "sire": "", "reason": "test"}
    page = ada_in.post(reverse("office:animal-correct", args=[herd.heifer]), data).content.decode()
    assert 'id="id_dam_error"' in page
    assert "own ancestor" in page
    assert Animal.objects.get(pk=heifer).dam_id == herd.heifer
