"""The admin shows each outfit to its own office and owner only, and lets nobody else in."""

import pytest
from django.urls import reverse

from herd.accounts.models import OutfitChange, OutfitPerson, Role
from herd.ledger.models import Change, Changeset
from herd.registry.models import Animal, Breed, Group, Location, Product, TagBox
from tests.cast import PASSWORD
from tests.config.admincast import address, sign_in, tables

WRITTEN = ["accounts.OutfitPerson", "intake.Recipe", "intake.StandingRule"] + [
    f"registry.{name}" for name in ("Breed", "Location", "Product", "TagBox")
]
LOOKED_AT = [model for model in tables() if model._meta.label not in WRITTEN]
EVERY = pytest.mark.parametrize("model", tables(), ids=lambda model: model._meta.label)


def test_the_registered_tables_are_these(db):
    named = {model._meta.label for model in tables()}
    assert named >= set(WRITTEN)
    assert not named & {"accounts.Person", "accounts.ResetCode", "accounts.Outfit", "ledger.FeedCounter"}
    # Django's own groups and permissions mean nothing here.
    assert not any(label.startswith(("auth.", "admin.")) for label in named)


@EVERY
def test_the_own_rows_open_and_nothing_of_the_other_outfit_is_on_any_page(ada_in, bench_rows, rim_rows, model):
    pages = [address(model, "changelist"), address(model, "change", bench_rows.of(model))]
    pages.append(address(model, "history", bench_rows.of(model)))
    for page in pages:
        answer = ada_in.get(page)
        assert answer.status_code == 200, page
        assert "farrim" not in answer.content.decode().casefold()
        assert "far rim" not in answer.content.decode().casefold()
    assert str(bench_rows.of(model)) in ada_in.get(pages[0]).content.decode()


@EVERY
@pytest.mark.parametrize("page", ["change", "history", "delete"])
@pytest.mark.parametrize("method", ["get", "post"])
def test_a_row_of_the_other_outfit_answers_404(ada_in, rim_rows, model, page, method):
    before = (Change.objects.count(), OutfitChange.objects.count())
    answer = getattr(ada_in, method)(address(model, page, rim_rows.of(model)), {"post": "yes", "name": "taken"})
    assert answer.status_code == 404
    assert (Change.objects.count(), OutfitChange.objects.count()) == before


@pytest.mark.parametrize("model", LOOKED_AT, ids=lambda model: model._meta.label)
def test_the_record_and_the_ledger_are_to_look_at_only(ada_in, bench_rows, model):
    changes = Changeset.objects.count()
    row = bench_rows.of(model)
    assert ada_in.get(address(model, "add")).status_code == 403
    assert ada_in.post(address(model, "add"), {"name": "x"}).status_code == 403
    assert ada_in.post(address(model, "change", row), {"name": "x"}).status_code == 403
    assert ada_in.post(address(model, "delete", row), {"post": "yes"}).status_code == 403
    many = {"action": "delete_selected", "_selected_action": [str(row)], "post": "yes"}
    ada_in.post(address(model, "changelist"), many)
    assert model._default_manager.filter(pk=row).exists()
    assert Changeset.objects.count() == changes


def test_no_list_offers_an_action_on_many_rows(ada_in, bench_rows):
    for model in tables():
        assert "_selected_action" not in ada_in.get(address(model, "changelist")).content.decode()
    for model in (Product, Breed, Location, TagBox):
        row = bench_rows.of(model)
        many = {"action": "delete_selected", "_selected_action": [str(row)], "post": "yes"}
        ada_in.post(address(model, "changelist"), many)
        assert model.objects.get(pk=row).is_void is False


@pytest.mark.parametrize("name", ["cal", "dot"])
def test_crew_and_readers_are_told_that_it_is_not_theirs(cast, name):
    client = sign_in(getattr(cast, name))
    for page in (reverse("admin:index"), address(Product, "changelist"), address(Product, "add"), "/admin/nowhere/"):
        answer = client.get(page)
        assert answer.status_code == 403
        assert "for the office and the owner" in answer.content.decode()
    assert client.post(address(Product, "add"), {"name": "x"}).status_code == 403
    assert not Product.objects.exists()


def test_staff_and_superuser_marks_open_nothing(cast):
    cast.cal.is_staff = cast.cal.is_superuser = True
    cast.cal.save()
    assert sign_in(cast.cal).get(reverse("admin:index")).status_code == 403


def test_people_and_roles_are_for_owners(cast, ben_in, ada_in):
    place = OutfitPerson.objects.get(person=cast.cal)
    for page in (address(OutfitPerson, "changelist"), address(OutfitPerson, "add"), address(OutfitPerson, "export")):
        assert ben_in.get(page).status_code == 403
        assert ada_in.get(page).status_code == 200
    answer = ben_in.post(address(OutfitPerson, "change", place.pk), {"role": "owner"})
    assert answer.status_code == 403
    assert ben_in.get(address(OutfitPerson, "import")).status_code == 403
    assert "accounts/outfitperson" not in ben_in.get(reverse("admin:index")).content.decode()


def test_there_is_one_way_to_sign_in(cast, client):
    page = address(Product, "changelist")
    answer = client.get(page)
    assert (answer.status_code, answer.url) == (302, f"{reverse('office:sign-in')}?next={page}")
    data = {"username": "ada", "password": PASSWORD, "next": "/admin/"}
    answer = client.post(reverse("admin:login"), data)
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("office:sign-in"))
    assert "_auth_user_id" not in client.session


def test_the_admins_sign_in_leads_to_no_other_site(ada_in):
    answer = ada_in.get(reverse("admin:login"), {"next": "https://elsewhere.example/"})
    assert answer.url == reverse("admin:index")
    assert ada_in.get(reverse("admin:login"), {"next": "/admin/registry/breed/"}).url == "/admin/registry/breed/"


def test_someone_in_two_outfits_sees_the_chosen_one_in_the_role_held_there(cast, bench_rows, rim_rows):
    OutfitPerson.objects.create(outfit=cast.far_rim, person=cast.ben, role=Role.OFFICE)
    client = sign_in(cast.ben)
    assert client.get(reverse("admin:index")).url == reverse("office:choose-outfit")
    client.post(reverse("office:choose-outfit"), {"outfit": cast.far_rim.pk})
    page = client.get(address(Product, "changelist")).content.decode()
    assert "farrim product" in page
    assert "kettle product" not in page
    assert client.get(address(Product, "change", bench_rows.of(Product))).status_code == 404
    OutfitPerson.objects.filter(outfit=cast.far_rim, person=cast.ben).update(role=Role.READER)
    assert client.get(address(Product, "changelist")).status_code == 403


@pytest.mark.parametrize(
    "question",
    [
        {"outfit__name__startswith": "Far"},
        {"person__password__startswith": "md5"},
        {"outfit": "1"},
        {"group__outfit__code": "far-rim"},
    ],
)
def test_a_question_about_hidden_columns_is_not_answered(ada_in, bench_rows, rim_rows, question):
    for model in (OutfitPerson, Animal, Group, Product):
        answer = ada_in.get(address(model, "changelist"), question)
        assert answer.status_code in {302, 400}
        if answer.status_code == 302:
            assert answer.url.endswith("?e=1")


def test_the_search_stays_in_the_outfit(ada_in, bench_rows, rim_rows):
    page = ada_in.get(address(Animal, "changelist"), {"q": "840270000000999"}).content.decode()
    assert str(rim_rows.of(Animal)) not in page
    page = ada_in.get(address(Animal, "changelist"), {"q": "840270000000417"}).content.decode()
    assert str(bench_rows.of(Animal)) in page


def test_the_choices_for_other_tables_are_not_opened_from_aside(ada_in, bench_rows, rim_rows):
    asked = {"app_label": "registry", "model_name": "group", "field_name": "location"}
    assert ada_in.get("/admin/autocomplete/", asked).status_code == 404
    assert ada_in.get(f"/admin/r/1/{rim_rows.of(Product)}/").status_code == 404


def test_a_posted_outfit_changes_nothing_about_whose_row_it_is(cast, ben_in):
    data = {"name": "Blue drench", "outfit": str(cast.far_rim.pk), "outfit_id": str(cast.far_rim.pk), "is_void": "on"}
    assert ben_in.post(address(Product, "add"), data).status_code == 302
    made = Product.objects.get()
    assert (made.outfit, made.is_void) == (cast.kettle_bench, False)


def test_the_admin_keeps_the_pages_policy_and_its_files_are_ours(ada_in, bench_rows):
    for page in (reverse("admin:index"), address(Product, "changelist"), address(Product, "add")):
        answer = ada_in.get(page)
        text = answer.content.decode()
        assert "unsafe" not in answer.headers["Content-Security-Policy"]
        assert "script-src 'self'" in answer.headers["Content-Security-Policy"]
        assert " style=" not in text
        assert "onclick" not in text
        assert "https://" not in text
        assert 'href="/static/lists/lists.css"' in text
