"""Lists go out as files that run nothing, and come in after being shown; what is wrong is named cell by cell."""

import csv
import io
from datetime import UTC, date, datetime

import pytest
from openpyxl import Workbook, load_workbook

from herd.accounts.models import OutfitChange, OutfitPerson, Role
from herd.intake.models import Recipe, StandingRule
from herd.ledger.entry import Entry
from herd.ledger.models import Changeset, ChangesetKind
from herd.registry.models import Breed, Location, Product, TagBox
from herd.registry.services import lists
from herd.registry.undo import undo
from tests.cast import entry
from tests.config.admincast import LAYOUT, address, sign_in

CSV, XLSX = "0", "1"


def look(client, model, text, form=CSV, name="list.csv"):
    """Give a file and see what would change."""
    data = text if isinstance(text, bytes) else text.encode()
    given = io.BytesIO(data)
    given.name = name
    return client.post(address(model, "import"), {"import_file": given, "format": form, "resource": "0"})


def confirm(client, model, looked, **more):
    form = looked.context["confirm_form"]
    return client.post(address(model, "process_import"), {**form.initial, **more})


def take_in(client, model, text, **how):
    return confirm(client, model, look(client, model, text, **how))


def wrong(answer):
    return [(one.line, one.column, one.value, one.reason) for one in answer.context["result"].wrong]


def out(client, model, form=CSV):
    return client.post(address(model, "export"), {"format": form, "resource": "0"})


def sheet(rows):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    into = io.BytesIO()
    book.save(into)
    return into.getvalue()


@pytest.fixture
def drench(cast):
    facts = {"name": "Blue drench", "meat_withdrawal_days": 14}
    return lists.add(entry=entry(cast.kettle_bench), subject="product", facts=facts)


def test_a_file_is_shown_first_and_written_after_the_confirmation(cast, ben_in, drench):
    text = "name,vaccine,meat withdrawal days\nBlue drench,no,21\nRed shot,yes,\n"
    looked = look(ben_in, Product, text)
    page = looked.content.decode()
    assert "1 new, 1 changed, 0 as they are already" in page
    assert "<del>14</del> <ins>21</ins>" in page
    assert Product.objects.get().meat_withdrawal_days == 14
    assert confirm(ben_in, Product, looked).status_code == 302
    blue, red = Product.objects.order_by("name")
    assert (blue.pk, blue.meat_withdrawal_days) == (drench, 21)
    assert (red.name, red.is_vaccine, red.meat_withdrawal_days) == ("Red shot", True, None)
    assert red.outfit == cast.kettle_bench


def test_a_file_is_one_entry_of_the_ledger_that_can_be_taken_back(cast, ben_in, drench):
    take_in(ben_in, Product, "name,dose\nBlue drench,5 mL\nRed shot,2 mL\n")
    written = Changeset.objects.order_by("-id").first()
    assert (written.person, written.change_count) == (cast.ben, 2)
    assert written.title == "Products from a file: 1 added, 1 changed"
    undo(Entry(cast.kettle_bench, cast.ada, ChangesetKind.UNDO, "back", undoes=written), written)
    assert Product.objects.of(cast.kettle_bench).get().dose == ""


def test_looking_leaves_no_trace(ben_in, drench):
    written = Changeset.objects.count()
    look(ben_in, Product, "name\nRed shot\n")
    assert (Changeset.objects.count(), Product.objects.count()) == (written, 1)


def test_rows_that_say_what_is_there_already_write_nothing(ben_in, drench):
    written = Changeset.objects.count()
    looked = look(ben_in, Product, "name,meat withdrawal days\nBlue drench,14\n")
    assert "0 new, 0 changed, 1 as they are already" in looked.content.decode()
    confirm(ben_in, Product, looked)
    assert Changeset.objects.count() == written


def test_columns_that_a_file_does_not_name_stay(ben_in, drench):
    take_in(ben_in, Product, "name,dose\nBlue drench,5 mL\n")
    assert Product.objects.get().meat_withdrawal_days == 14


def test_wrong_cells_are_named_with_line_column_value_and_reason(ben_in, drench):
    text = (
        "name,vaccine,meat withdrawal days\n"
        '"Red\nshot",maybe,14\n'
        "\n"
        "Green paste,no,3.5\n"
        ",no,1\n"
        "Green paste,no,2\n"
        f"{'x' * 81},no,-4\n"
    )
    looked = look(ben_in, Product, text)
    assert wrong(looked) == [
        (2, "vaccine", "maybe", "Write yes or no."),
        (5, "meat withdrawal days", "3.5", "Write a whole number."),
        (6, "name", "", "This must not be empty."),
        (7, "name", "Green paste", "Line 5 is about the same."),
        (8, "meat withdrawal days", "-4", "Write a whole number."),
        (8, "name", "x" * 81, "Ensure this value has at most 80 characters (it has 81)."),
    ]
    assert "confirm_form" not in looked.context
    assert "Write a whole number." in looked.content.decode()
    assert Product.objects.count() == 1


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"),
        ("\n\n", "empty"),
        ("dose\n5 mL\n", "The file needs a column &#x27;name&#x27;"),
        ("name,colour of the moon\nx,y\n", "&#x27;colour of the moon&#x27; is not one of this list"),
        ("name,name\nx,y\n", "is there twice"),
        ("name\nx,y\n", "Line 2 has more cells"),
        ('name\n"open\n', "quotation marks"),
        (b"name\n\xff\xfe", "not UTF-8"),
        ("name\n" + "".join(f"p{number}\n" for number in range(5_001)), "more than 5000 rows"),
        (b"name\n" + b"x" * (2 * 1024 * 1024), "larger than 2 MB"),
    ],
)
def test_a_file_that_can_not_be_taken_says_why(ben_in, text, reason):
    looked = look(ben_in, Product, text)
    assert looked.status_code == 200
    assert reason in looked.content.decode()
    assert not Product.objects.exists()


def test_what_is_no_workbook_is_refused(ben_in):
    looked = look(ben_in, Product, b"PK\x03\x04 nothing", form=XLSX, name="list.xlsx")
    assert "That is no XLSX workbook" in looked.content.decode()


def test_a_workbook_comes_in_with_its_days_and_numbers(cast, ben_in):
    came = datetime(2026, 2, 1, tzinfo=UTC).replace(tzinfo=None)
    rows = [["kind", "first", "last", "received on"], ["vid", 200, "240", came]]
    assert take_in(ben_in, TagBox, sheet(rows), form=XLSX, name="boxes.xlsx").status_code == 302
    box = TagBox.objects.get()
    assert (box.first, box.last, box.received_on) == ("200", "240", date(2026, 2, 1))


def test_boxes_of_one_run_are_told_apart_by_colour_and_year(cast, ben_in):
    text = "kind,first,last,colour,year,supplier\nvid,1,99,red,2025,a\nvid,1,99,red,2026,b\nvid,1,99,blue,2026,c\n"
    assert take_in(ben_in, TagBox, text).status_code == 302
    again = look(ben_in, TagBox, out(ben_in, TagBox).content)
    assert "0 new, 0 changed, 3 as they are already" in again.content.decode()
    take_in(ben_in, TagBox, text.replace(",b\n", ",corner store\n"))
    assert sorted(TagBox.objects.values_list("supplier", flat=True)) == ["a", "c", "corner store"]


def test_a_semicolon_or_a_tab_between_cells_will_do(ben_in):
    take_in(ben_in, Breed, "code;name\nAN;Black hides\n")
    take_in(ben_in, Breed, "code\tname\nHH;x\tRed hides\n")
    assert list(Breed.objects.values_list("code", "name")) == [("AN", "Black hides"), ("HH;x", "Red hides")]


@pytest.mark.parametrize("column", ["id", "outfit", "outfit_id", "is_void", "pk"])
def test_no_file_reaches_a_row_of_another_outfit_by_its_id(ben_in, rim_rows, column):
    far = rim_rows.of(Product)
    looked = look(ben_in, Product, f"{column},name\n{far},Taken over\n")
    assert "is not one of this list" in looked.content.decode()
    assert Product.objects.get(pk=far).name == "farrim product"


def test_a_name_of_another_outfit_makes_a_row_of_the_own(cast, ben_in, rim_rows):
    take_in(ben_in, Product, "name,dose\nfarrim product,9 mL\n")
    assert Product.objects.get(pk=rim_rows.of(Product)).dose == ""
    assert Product.objects.of(cast.kettle_bench).get().dose == "9 mL"


def test_what_was_looked_at_for_one_outfit_is_not_written_into_another(cast, rim_rows):
    OutfitPerson.objects.create(outfit=cast.far_rim, person=cast.ben, role=Role.OFFICE)
    client = sign_in(cast.ben)
    client.post("/outfit/", {"outfit": cast.kettle_bench.pk})
    looked = look(client, Product, "name\nRed shot\n")
    client.post("/outfit/", {"outfit": cast.far_rim.pk})
    answer = client.post(address(Product, "process_import"), looked.context["confirm_form"].initial, follow=True)
    assert "You chose another outfit" in answer.content.decode()
    assert not Product.objects.filter(name="Red shot").exists()


@pytest.mark.parametrize("name", ["/etc/passwd", "../../etc/hostname", "forged:1tAbCd:signature", ""])
def test_only_a_file_that_was_looked_at_can_be_confirmed(cast, ben_in, name):
    data = {"import_file_name": name, "original_file_name": "x", "format": CSV, "resource": "0"}
    answer = ben_in.post(address(Product, "process_import"), data | {"outfit": str(cast.kettle_bench.pk)}, follow=True)
    assert answer.status_code == 200
    assert "root:" not in answer.content.decode()
    assert not Product.objects.exists()


def test_where_the_record_moved_on_in_between_nothing_is_written_and_the_page_says_so(cast, ben_in):
    looked = look(ben_in, TagBox, "kind,first,last\nvid,200,240\n")
    ben_in.post(address(TagBox, "add"), {"kind": "vid", "first": "220", "last": "260", "issuer_year": "0"})
    answer = confirm(ben_in, TagBox, looked)
    assert answer.status_code == 409
    assert "can’t be taken" in answer.content.decode()
    assert TagBox.objects.get().first == "220"


def test_confirming_twice_writes_once(ben_in):
    looked = look(ben_in, Breed, "code,name\nAN,Black hides\n")
    for _ in range(2):
        assert confirm(ben_in, Breed, looked).status_code == 302
    assert Breed.objects.count() == 1
    assert Changeset.objects.count() == 1


# OWASP, "CSV Injection": characters that begin a formula; then what a spreadsheet would change (from memory).
@pytest.mark.parametrize("text", ["=1+1", "+1", "-2", "@SUM(A1)", "＝1", "007", "840003123456789", "MAR 1"])
def test_what_a_spreadsheet_would_run_or_change_leaves_as_text_and_comes_back_the_same(cast, ben_in, text):
    lists.add(entry=entry(cast.kettle_bench), subject="location", facts={"name": text})
    answer = out(ben_in, Location)
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows == [["name", "premises number", "retired"], [f"'{text}", "", "no"]]
    assert "0 new, 0 changed, 1 as they are already" in look(ben_in, Location, answer.content).content.decode()
    cell = load_workbook(io.BytesIO(out(ben_in, Location, XLSX).content)).active["A2"]
    assert (cell.value, cell.data_type) == (text, "s")


def test_an_export_holds_the_own_rows_only_whatever_is_asked(ben_in, bench_rows, rim_rows):
    for model in (Breed, Location, Product, StandingRule, Recipe):
        for more in ({}, {"export_items": [str(rim_rows.of(model))]}):
            data = {"format": CSV, "resource": "0", **more}
            answer = ben_in.post(address(model, "export"), data)
            assert "farrim" not in answer.content.decode()
    assert "kettle product" in out(ben_in, Product).content.decode()


def test_roles_go_out_and_come_in_for_owners(cast, ada_in):
    rows = out(ada_in, OutfitPerson).content.decode("utf-8-sig").splitlines()
    assert rows[0] == "user name,role"
    assert set(rows[1:]) == {"ada,owner", "ben,office", "cal,crew", "dot,reader"}
    assert take_in(ada_in, OutfitPerson, "user name,role\ndot,crew\neve,reader\n").status_code == 302
    roles = dict(OutfitPerson.objects.filter(outfit=cast.kettle_bench).values_list("person__username", "role"))
    assert (roles["dot"], roles["eve"]) == ("crew", "reader")
    assert OutfitPerson.objects.get(outfit=cast.far_rim).role == Role.OWNER
    assert OutfitChange.objects.filter(person=cast.ada).count() == 2


def test_a_file_of_roles_keeps_an_owner_and_makes_nobody(cast, ada_in):
    looked = look(ada_in, OutfitPerson, "user name,role\nada,crew\ncal,reader\n")
    assert "Line 2: An outfit needs an owner" in looked.content.decode()
    looked = look(ada_in, OutfitPerson, "user name,role\nfay,crew\ncal,king\n")
    assert [one[:3] for one in wrong(looked)] == [(2, "user name", "fay"), (3, "role", "king")]
    assert OutfitPerson.objects.get(person=cast.cal).role == Role.CREW


def test_rules_and_recipes_come_in_checked(cast, ben_in):
    take_in(ben_in, StandingRule, "alike,choice,label\nunknown tag,skip,Leave out\n")
    assert StandingRule.objects.get().person == cast.ben
    looked = look(ben_in, StandingRule, "alike,choice,label\nunknown tag,is:0199,Cow\n")
    assert "one animal can&#x27;t stand for the future" in looked.content.decode()
    cells = '"[{""index"": 0, ""kind"": ""eid""}]"'
    take_in(ben_in, Recipe, f"layout,name,columns\n{LAYOUT},Scale head,{cells}\n")
    assert Recipe.objects.get().columns == [{"index": 0, "kind": "eid"}]
    looked = look(ben_in, Recipe, f'layout,name,columns\n{LAYOUT},Scale,"[{{""kind"": ""magic""}}]"\n')
    assert "a known kind" in looked.content.decode()


def test_a_long_file_needs_no_query_for_each_row(ben_in, django_assert_max_num_queries):
    text = "code,name\n" + "".join(f"B{number},breed {number}\n" for number in range(400))
    looked = look(ben_in, Breed, text)
    with django_assert_max_num_queries(900):
        confirm(ben_in, Breed, looked)
    assert Breed.objects.count() == 400
