"""The record mended by hand: each form writes through its service, or says beside the field what is wrong."""

from datetime import date, timedelta

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from django.utils import timezone

from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, Event, Group, GroupMembership, TagWearing
from herd.values.eventkinds import EVENT_KINDS
from tests.cast import eid_tag, register

FREE_EID = "840270000007777"


def post(client, name, /, *ids, **data):
    return client.post(reverse(f"office:{name}", args=ids), data)


def record(client, animal, kind, **data):
    address = f"{reverse('office:event-new', args=[animal])}?kind={kind}"
    return client.post(address, {"happened_on": "2025-05-01", **data})


def test_a_recorded_weight_leads_back_with_a_way_to_undo_it(ada_in, herd):
    answer = record(ada_in, herd.cow, "weight", weight="1,310", unit="lb")
    assert answer.url == reverse("office:animal", args=[herd.cow])
    page = ada_in.get(answer.url).content.decode()
    changeset = Changeset.objects.order_by("recorded_at").last()
    assert reverse("office:changeset-undo", args=[changeset.pk]) in page
    event = Event.objects.get(happened_on=date(2025, 5, 1))
    assert (event.data, event.weight_ng) == ({"weight": "1310", "unit": "lb"}, 1310 * 453_592_370_000)
    assert (changeset.person_name, changeset.title) == ("ada", "Recorded weight of 417 yellow")


def test_a_weight_keeps_the_unit_in_which_it_was_entered(ada_in, herd):
    record(ada_in, herd.cow, "weight", weight="590.5", unit="kg")
    event = Event.objects.get(happened_on=date(2025, 5, 1))
    assert (event.data["unit"], event.weight_ng) == ("kg", 590_500_000_000_000)


@pytest.mark.parametrize(
    ("kind", "data", "sentence"),
    [
        ("weight", {"weight": "about 1200", "unit": "lb"}, "is an estimate"),
        ("weight", {"weight": "", "unit": "lb"}, "Weight is needed."),
        ("weight", {"weight": "1200", "unit": "lb", "happened_on": ""}, "A day is needed."),
        ("weight", {"weight": "1200", "unit": "lb", "happened_on": "1/2"}, "year-month-day"),
        ("weight", {"weight": "1200", "unit": "lb", "happened_on": "2019-01-01"}, "The animal was born on"),
        ("body_condition", {"score": "11"}, "not on the scale from 1 to 9"),
        ("calving", {"ease": "9"}, "from 1 (no help) to 5"),
        ("calving", {"calf": "999999"}, "No animal of this outfit wears or wore 999999."),
        ("sample", {"tube": "840270000000417"}, "the tag was scanned in place of the tube"),
        ("treatment", {"product": "Oxytetracycline", "withdrawal_days": "-1"}, "greater than or equal to 0"),
        ("movement", {"to": ""}, "Moved to is needed."),
        ("note", {"note": ""}, "This field is required."),
    ],
)
def test_what_can_not_be_recorded_is_said_beside_its_field(ada_in, herd, kind, data, sentence):
    written = Event.objects.count()
    answer = record(ada_in, herd.cow, kind, **data)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert sentence in page
    assert 'aria-invalid="true"' in page
    assert Event.objects.count() == written


def test_what_can_not_happen_to_its_class_is_refused_and_not_offered(ada_in, herd):
    page = record(ada_in, herd.cow, "scrotal", circumference="34 cm")
    assert "a cow has no scrotal circumference" in page.content.decode()
    assert "scrotal" not in {one.key for one in page.context["kinds"]}
    assert "a bull has no calving" in record(ada_in, herd.bull, "calving", outcome="dead").content.decode()


def test_a_day_in_the_future_is_refused(ada_in, herd):
    later = (timezone.now().date() + timedelta(days=9)).isoformat()
    page = record(ada_in, herd.cow, "weaning", happened_on=later).content.decode()
    assert "lies in the future" in page


SOUND = {
    "weight": {"weight": "1200", "unit": "lb"},
    "pregnancy_check": {"result": "pregnant", "days": "90"},
    "service": {"sire": "5"},
    "calving": {"calf": "88", "outcome": "live", "ease": "1"},
    "treatment": {"product": "Oxytetracycline", "withdrawal_days": "28"},
    "vaccination": {"product": "Clostridial"},
    "sample": {"tube": "TB00881"},
    "sample_result": {"result": "negative"},
    "body_condition": {"score": "5.5"},
    "hip_height": {"height": "51"},
    "scrotal": {"circumference": "34 cm"},
    "movement": {"to": "Mill Trap"},
    "note": {"note": "Kicks."},
}


@pytest.mark.parametrize("kind", EVENT_KINDS)
def test_an_event_of_every_kind_can_be_recorded_and_is_said_on_the_page(ada_in, herd, kind):
    animal = herd.bull if kind == "scrotal" else herd.cow
    assert ada_in.get(f"{reverse('office:event-new', args=[animal])}?kind={kind}").status_code == 200
    assert record(ada_in, animal, kind, **SOUND.get(kind, {})).status_code == 302
    assert Event.objects.filter(animal=animal, kind=kind, happened_on=date(2025, 5, 1)).exists()
    page = ada_in.get(reverse("office:animal", args=[animal]))
    assert page.status_code == 200
    assert any(one["event"].kind == kind for one in page.context["events"])


def test_a_calf_is_named_by_any_number_and_kept_by_its_id(ada_in, herd):
    record(ada_in, herd.cow, "calving", calf="88", outcome="live")
    assert Event.objects.get(kind="calving").data["calf"] == str(herd.calf)
    assert "Calved: a live calf, 88 green." in ada_in.get(reverse("office:animal", args=[herd.cow])).content.decode()


def test_an_unknown_kind_of_event_answers_404(ada_in, herd):
    assert ada_in.get(f"{reverse('office:event-new', args=[herd.cow])}?kind=milking").status_code == 404


def test_a_sale_takes_the_animal_out_of_the_herd_and_its_group(ada_in, herd):
    record(ada_in, herd.cow, "sale", buyer="the sale barn")
    cow = Animal.objects.get(pk=herd.cow)
    assert (cow.status, cow.group) == ("sold", None)


def test_a_voided_event_keeps_its_reason_and_leaves_the_page(ada_in, herd):
    assert post(ada_in, "event-void", herd.cow, herd.weight.pk).status_code == 200
    answer = post(ada_in, "event-void", herd.cow, herd.weight.pk, reason="Wrong cow on the scale")
    assert answer.status_code == 302
    assert Event.objects.get(pk=herd.weight.pk).is_void
    page = ada_in.get(answer.url).content.decode()
    assert "Voided: Oct 1, 2024: Weighed 1,200 lb." in page
    assert "Wrong cow on the scale" in page


def test_a_lost_tag_and_the_new_one_stand_in_one_changeset(ada_in, herd):
    old = TagWearing.objects.get(animal=herd.cow, kind="eid")
    data = {"ended": "lost", "on": "2025-05-01", "number": "840 270 000 007 777"}
    assert post(ada_in, "tag-replace", herd.cow, old.pk, **data).status_code == 302
    old.refresh_from_db()
    new = TagWearing.objects.get(animal=herd.cow, kind="eid", ended="")
    assert (old.ended, old.worn_to, new.tag.number, new.began) == ("lost", date(2025, 5, 1), FREE_EID, "retagged")
    changesets = Change.objects.filter(subject_id__in=[old.pk, new.pk]).order_by("-position")[:2]
    assert len({change.changeset_id for change in changesets}) == 1


def test_a_tag_can_come_off_without_another_going_on(ada_in, herd):
    old = TagWearing.objects.get(animal=herd.cow, kind="vid")
    assert post(ada_in, "tag-replace", herd.cow, old.pk, ended="broken", on="2025-05-01").status_code == 302
    assert not TagWearing.objects.filter(animal=herd.cow, kind="vid", ended="").exists()


def test_a_tag_that_is_on_another_animal_is_refused_beside_the_number(ada_in, cast, herd):
    register(cast.kettle_bench, eid_tag(FREE_EID))
    old = TagWearing.objects.get(animal=herd.cow, kind="eid")
    data = {"ended": "lost", "on": "2025-05-01", "number": FREE_EID}
    page = post(ada_in, "tag-replace", herd.cow, old.pk, **data).content.decode()
    assert 'id="id_number_error"' in page
    assert "is on another animal now" in page
    old.refresh_from_db()
    assert old.ended == ""


def test_a_damaged_number_is_refused_and_never_guessed(ada_in, herd):
    data = {"kind": "eid", "number": "8.4027E+14", "on": "2025-05-01"}
    page = post(ada_in, "tag-new", herd.bull, **data).content.decode()
    assert 'id="id_number_error"' in page
    assert TagWearing.objects.filter(animal=herd.bull).count() == 1


def test_a_visual_tag_takes_its_colour_from_the_number_where_it_stands_beside_it(ada_in, herd):
    assert post(ada_in, "tag-new", herd.bull, kind="vid", number="72 blue", on="2025-05-01").status_code == 302
    tag = TagWearing.objects.get(animal=herd.bull, tag__number="72").tag
    assert tag.colour == "blue"


def test_an_animal_moves_to_a_group(ada_in, herd):
    answer = post(ada_in, "animal-move", herd.bull, group=herd.group, on="2025-05-01")
    assert answer.status_code == 302
    assert GroupMembership.objects.get(animal=herd.bull).group_id == herd.group


def test_a_move_before_the_last_one_is_refused_beside_the_day(ada_in, herd):
    other = Group.objects.create(outfit=Animal.objects.get(pk=herd.cow).outfit, name="Mill Trap")
    page = post(ada_in, "animal-move", herd.cow, group=other.pk, on="2020-05-01").content.decode()
    assert 'id="id_on_error"' in page
    assert "It joined Upper Bench on 2024-03-01" in page


def facts(**more):
    return {
        "entry_class": "cow", "born_on": "2019-04-02", "born_precision": "day", "breed": "", "coat": "",
        "origin": "", "dam": "", "sire": "", "reason": "From the calving book", **more,
    }  # fmt: skip


def test_a_correction_writes_only_what_differs_with_its_reason(ada_in, herd):
    assert post(ada_in, "animal-correct", herd.cow, **facts(coat="red")).status_code == 302
    change = Change.objects.filter(subject_id=herd.cow).order_by("-position").first()
    assert (change.before, change.after, change.reason) == ({"coat": ""}, {"coat": "red"}, "From the calving book")


def test_a_correction_that_changes_nothing_writes_nothing(ada_in, herd):
    written = Changeset.objects.count()
    answer = post(ada_in, "animal-correct", herd.cow, **facts())
    assert [str(message) for message in get_messages(answer.wsgi_request)] == [
        "Nothing differs from the record, so nothing was written."
    ]
    assert Changeset.objects.count() == written


def test_a_bull_is_refused_as_a_dam_beside_the_field(ada_in, herd):
    page = post(ada_in, "animal-correct", herd.cow, **facts(dam="5")).content.decode()
    assert 'id="id_dam_error"' in page
    assert "A bull can&#x27;t be a dam." in page


def test_the_form_to_correct_shows_what_is_known(ada_in, herd):
    page = ada_in.get(reverse("office:animal-correct", args=[herd.calf])).content.decode()
    assert 'value="840270000000417"' in page
    assert 'value="2026-04-01"' in page


def test_a_correction_of_the_calf_left_as_shown_changes_nothing(ada_in, herd):
    form = ada_in.get(reverse("office:animal-correct", args=[herd.calf])).context["form"]
    shown = {name: form[name].value() or "" for name in form.fields}
    assert post(ada_in, "animal-correct", herd.calf, **shown | {"reason": "none"}).status_code == 302
    assert not Change.objects.filter(subject_id=herd.calf, action="changed").exists()


def test_a_correction_that_another_has_overtaken_is_written_only_when_it_is_sent_again(ada_in, as_person, cast, herd):
    seen = Animal.objects.get(pk=herd.cow).revision
    post(as_person(cast.cal), "animal-correct", herd.cow, **facts(breed="Angus", revision=seen))
    late = facts(coat="red", revision=seen)
    form = post(ada_in, "animal-correct", herd.cow, **late).context["form"]
    assert "changed by somebody else" in form.non_field_errors()[0]
    assert {"breed", "coat"} == set(form.errors) - {"__all__"}
    assert Animal.objects.get(pk=herd.cow).coat == ""
    meant = late | {"breed": "Angus", "revision": form["revision"].value()}
    assert post(ada_in, "animal-correct", herd.cow, **meant).status_code == 302
    cow = Animal.objects.get(pk=herd.cow)
    assert (cow.breed, cow.coat) == ("Angus", "red")


def test_an_animal_is_registered_with_tags_group_and_dam(ada_in, herd):
    data = {
        "vid": "901", "colour": "white", "eid": FREE_EID, "entry_class": "heifer", "group": herd.group,
        "entered_on": "2026-05-01", "born_on": "2026-03-01", "born_precision": "month", "dam": "417",
    }  # fmt: skip
    answer = post(ada_in, "animal-new", **data)
    assert answer.status_code == 302
    animal = Animal.objects.get(wearings__tag__number="901")
    assert (animal.dam_id, animal.born_precision, animal.group_id) == (herd.cow, "month", herd.group)
    assert {one.tag.number for one in animal.wearings.all()} == {"901", FREE_EID}


def test_an_animal_without_any_number_is_not_registered(ada_in, herd):
    page = post(ada_in, "animal-new", entered_on="2026-05-01", born_precision="day").content.decode()
    assert "Give a visual tag or an EID." in page


def test_a_number_that_is_taken_keeps_what_was_typed_in_the_form(ada_in, herd):
    data = {"vid": "417", "colour": "yellow", "entered_on": "2026-05-01", "born_precision": "day", "coat": "roan"}
    page = post(ada_in, "animal-new", **data).content.decode()
    assert "is on another animal now" in page
    assert 'value="roan"' in page


def test_a_group_is_opened_once_per_name(ada_in, herd):
    assert post(ada_in, "group-new", name="Mill Trap", kind="pasture").status_code == 302
    page = post(ada_in, "group-new", name="Upper Bench", kind="herd").content.decode()
    assert 'id="id_name_error"' in page
    assert "There is a group called Upper Bench already." in page
