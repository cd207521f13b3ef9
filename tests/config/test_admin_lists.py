"""What is written in the admin goes through services: it stands in the ledger with its person and can be undone."""

from datetime import UTC, datetime

import pytest
from django.contrib.admin.models import LogEntry
from django.urls import reverse

from herd.accounts.models import OutfitChange, OutfitPerson, Person, Role
from herd.accounts.services import LAST_OWNER
from herd.intake.models import Recipe, StandingRule
from herd.ledger.entry import Entry
from herd.ledger.models import Change, Changeset, ChangesetKind
from herd.registry.models import Breed, Location, Product, TagBox
from herd.registry.services import lists
from herd.registry.undo import undo
from tests.cast import PASSWORD, entry
from tests.config.admincast import address

DRENCH = {"name": "Blue drench", "ingredient": "moxiblue", "meat_withdrawal_days": "14", "dose": "5 mL"}
BOX = {"kind": "vid", "first": "200", "last": "240", "colour": "green", "issuer_year": "0", "received_on": "2026-02-01"}


@pytest.fixture
def drench(cast, ben_in):
    ben_in.post(address(Product, "add"), DRENCH)
    return Product.objects.get()


def take_back(cast, changeset):
    undo(Entry(cast.kettle_bench, cast.ada, ChangesetKind.UNDO, "back", undoes=changeset), changeset)


def test_a_new_product_is_in_the_ledger_under_who_added_it(cast, drench):
    assert (drench.outfit, drench.meat_withdrawal_days, drench.needs_prescription) == (cast.kettle_bench, 14, False)
    change = Change.objects.get(subject_id=drench.pk)
    assert (change.action, change.changeset.person, change.changeset.outfit) == ("created", cast.ben, cast.kettle_bench)
    assert change.after["ingredient"] == "moxiblue"


def test_a_new_product_can_be_taken_back(cast, drench):
    take_back(cast, Changeset.objects.get())
    assert not Product.objects.of(cast.kettle_bench).exists()


def test_a_correction_writes_only_what_was_changed(cast, ben_in, drench):
    answer = ben_in.post(address(Product, "change", drench.pk), DRENCH | {"meat_withdrawal_days": "21"})
    assert answer.status_code == 302
    change = Change.objects.filter(subject_id=drench.pk).last()
    assert (change.before, change.after) == ({"meat_withdrawal_days": 14}, {"meat_withdrawal_days": 21})
    take_back(cast, change.changeset)
    drench.refresh_from_db()
    assert drench.meat_withdrawal_days == 14


def test_saving_without_a_change_writes_nothing(ben_in, drench):
    changes = Change.objects.count()
    assert ben_in.post(address(Product, "change", drench.pk), DRENCH).status_code == 302
    assert Change.objects.count() == changes


def test_a_name_that_is_taken_is_said_beside_its_field(ben_in, drench):
    answer = ben_in.post(address(Product, "add"), DRENCH)
    assert answer.status_code == 200
    assert answer.context["adminform"].errors["name"] == ["There is a product called Blue drench already."]
    assert Product.objects.count() == 1


def test_trying_the_write_leaves_no_trace(ben_in, drench):
    written = Changeset.objects.count()
    ben_in.post(address(Product, "add"), DRENCH)
    ben_in.get(address(Product, "delete", drench.pk))
    assert Changeset.objects.count() == written


def test_a_row_is_taken_out_and_comes_back_by_undo(cast, ben_in, drench):
    assert "Take out Blue drench?" in ben_in.get(address(Product, "delete", drench.pk)).content.decode()
    assert ben_in.post(address(Product, "delete", drench.pk), {"post": "yes"}).status_code == 302
    drench.refresh_from_db()
    assert drench.is_void
    assert ben_in.get(address(Product, "change", drench.pk)).status_code == 404
    change = Change.objects.filter(subject_id=drench.pk).last()
    assert (change.action, change.changeset.person) == ("voided", cast.ben)
    take_back(cast, change.changeset)
    drench.refresh_from_db()
    assert not drench.is_void


def test_a_location_that_a_group_lies_at_stays_with_a_sentence(ben_in, bench_rows):
    page = address(Location, "delete", bench_rows.of(Location))
    for answer in (ben_in.get(page), ben_in.post(page, {"post": "yes"})):
        assert answer.status_code == 200
        assert "can&#x27;t be taken out: a group in the record names it" in answer.content.decode()
    assert Location.objects.get(pk=bench_rows.of(Location)).is_void is False


def test_a_box_is_received_by_the_service_of_tag_stock(cast, ben_in):
    assert ben_in.post(address(TagBox, "add"), BOX).status_code == 302
    box = TagBox.objects.get()
    assert (str(box), box.colour, box.received_on.isoformat()) == ("200 to 240", "green", "2026-02-01")
    assert Changeset.objects.get().person == cast.ben


@pytest.mark.parametrize("wrong", [{"first": "240", "last": "200"}, {"first": "2x", "last": "240"}])
def test_a_box_that_makes_no_sense_is_refused(ben_in, wrong):
    answer = ben_in.post(address(TagBox, "add"), BOX | wrong)
    assert answer.status_code == 200
    assert answer.context["adminform"].errors
    assert not TagBox.objects.exists()


def test_a_box_over_numbers_of_another_is_refused(ben_in):
    ben_in.post(address(TagBox, "add"), BOX)
    answer = ben_in.post(address(TagBox, "add"), BOX | {"first": "230", "last": "260"})
    assert answer.status_code == 200
    assert TagBox.objects.count() == 1


def test_a_box_is_corrected_and_its_run_checked(ben_in, bench_rows):
    box = TagBox.objects.get(pk=bench_rows.of(TagBox))
    same = {"kind": "vid", "first": "100", "last": "120", "colour": "yellow", "issuer_year": "0"}
    assert ben_in.post(address(TagBox, "change", box.pk), same | {"supplier": "corner store"}).status_code == 302
    box.refresh_from_db()
    assert box.supplier == "corner store"
    # Number 103 of it is marked missing.
    answer = ben_in.post(address(TagBox, "change", box.pk), same | {"first": "110"})
    assert answer.status_code == 200
    box.refresh_from_db()
    assert box.first == "100"


def test_the_history_of_a_row_tells_who_did_what_wherever_it_was_done(cast, ben_in, drench):
    by_ada = entry(cast.kettle_bench, cast.ada, "elsewhere")
    lists.correct(entry=by_ada, subject="product", row_id=drench.pk, facts={"dose": "6 mL"}, reason="new label")
    page = ben_in.get(address(Product, "history", drench.pk)).content.decode()
    assert "dose: 5 mL to 6 mL (new label)" in page
    assert page.index("ada") < page.index("created")


def test_moments_are_in_the_outfits_own_time(cast, ben_in, drench):
    # Denver is six hours behind universal time in July.
    Changeset.objects.update(recorded_at=datetime(2026, 7, 2, 3, 30, tzinfo=UTC))
    assert "Jul 1, 2026, 21:30" in ben_in.get(address(Product, "history", drench.pk)).content.decode()
    assert "July 1, 2026, 9:30 p.m." in ben_in.get(address(Changeset, "changelist")).content.decode()


def test_an_owner_adds_a_person_changes_the_role_and_takes_the_person_out(cast, ada_in):
    data = {"username": "fay", "role": "crew", "password": PASSWORD}
    assert ada_in.post(address(OutfitPerson, "add"), data).status_code == 302
    place = OutfitPerson.objects.get(person__username="fay")
    assert place.outfit == cast.kettle_bench
    assert Person.objects.get(username="fay").check_password(PASSWORD)
    assert ada_in.post(address(OutfitPerson, "change", place.pk), {"role": "office"}).status_code == 302
    assert ada_in.post(address(OutfitPerson, "delete", place.pk), {"post": "yes"}).status_code == 302
    said = OutfitChange.objects.order_by("id").values_list("says", "person_name")
    assert [one for one, _ in said] == [
        "fay joined the outfit as crew.",
        "fay is office now, and was crew before.",
        "fay was taken out of the outfit.",
    ]
    assert {name for _, name in said} == {"ada"}


def test_the_last_owner_stays(cast, ada_in):
    place = OutfitPerson.objects.get(person=cast.ada)
    answer = ada_in.post(address(OutfitPerson, "change", place.pk), {"role": "reader"})
    assert answer.context["adminform"].errors["role"] == [LAST_OWNER]
    page = ada_in.post(address(OutfitPerson, "delete", place.pk), {"post": "yes"}).content.decode()
    assert LAST_OWNER in page
    place.refresh_from_db()
    assert place.role == Role.OWNER


@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({"username": "fay", "role": "crew", "password": ""}, "password"),
        ({"username": "fay", "role": "crew", "password": "short"}, "password"),
        ({"username": "cal", "role": "owner", "password": PASSWORD}, "username"),
        ({"username": "CAL", "role": "owner", "password": PASSWORD}, "username"),
        ({"username": "fay", "role": "king", "password": PASSWORD}, "role"),
    ],
)
def test_a_person_is_not_added_with_anything_wrong(cast, ada_in, data, field):
    answer = ada_in.post(address(OutfitPerson, "add"), data)
    assert field in answer.context["adminform"].errors
    assert (Person.objects.count(), OutfitPerson.objects.count()) == (5, 5)
    assert not OutfitChange.objects.exists()


def test_rules_and_recipes_are_renamed_and_dropped_and_that_is_noted(ben_in, bench_rows):
    rule, recipe = bench_rows.of(StandingRule), bench_rows.of(Recipe)
    answer = ben_in.post(address(StandingRule, "change", rule), {"label": "Always keep", "choice": "other"})
    assert answer.status_code == 302
    kept = StandingRule.objects.get(pk=rule)
    assert (kept.label, kept.choice) == ("Always keep", "keep")
    assert ben_in.post(address(Recipe, "delete", recipe), {"post": "yes"}).status_code == 302
    assert not Recipe.objects.filter(pk=recipe).exists()
    said = list(OutfitChange.objects.filter(kind="kept").order_by("id").values_list("says", "person_name"))
    assert said == [
        ("The standing rule is called Always keep now.", "ben"),
        ("The recipe “kettle recipe” was dropped.", "ben"),
    ]
    assert ben_in.get(address(Recipe, "add")).status_code == 403


def test_the_front_page_names_the_outfit_and_keeps_no_log_of_its_own(ben_in, drench):
    page = ben_in.get(reverse("admin:index")).content.decode()
    assert "of Kettle Bench" in page
    assert "Recent actions" not in page
    assert not LogEntry.objects.exists()


def test_a_list_stays_at_few_queries_however_long(cast, ben_in, django_assert_max_num_queries):
    for number in range(60):
        facts = {"code": f"B{number}", "name": f"breed {number}"}
        lists.add(entry=entry(cast.kettle_bench), subject="breed", facts=facts)
    with django_assert_max_num_queries(10):
        ben_in.get(address(Breed, "changelist"))
