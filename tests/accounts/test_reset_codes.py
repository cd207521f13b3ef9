"""One-time codes: made by an owner, good once, for a day, for one person, and kept only as a hash."""

from datetime import timedelta

import pytest
from django.utils import timezone

from herd.accounts.models import OutfitChange, OutfitPerson, ResetCode, Role
from herd.accounts.resetcodes import HOURS, MOST_FAILURES, WRONG, make_code, use_code
from herd.accounts.services import AccountError, add_person
from tests.cast import PASSWORD

NEW = "a brand new halter"


def use(code, username="cal", password=NEW):
    return use_code(username=username, code=code, password=password)


@pytest.fixture
def code(cast):
    return make_code(person=cast.cal, by=cast.ada)


def is_password(person, password):
    person.refresh_from_db()
    return person.check_password(password)


def test_a_code_sets_the_password_once(cast, code):
    use(code)
    assert is_password(cast.cal, NEW)
    with pytest.raises(AccountError, match="don't belong together"):
        use(code, password="yet another halter")
    assert is_password(cast.cal, NEW)


def test_a_code_is_read_without_dashes_and_in_small_letters(cast, code):
    use(f" {code.replace('-', ' ').lower()} ")
    assert is_password(cast.cal, NEW)


def test_the_code_itself_is_kept_nowhere(cast, code):
    kept = ResetCode.objects.get()
    bare = code.replace("-", "")
    assert bare not in kept.code_hash
    assert not OutfitChange.objects.filter(says__contains=code[:4]).exists()


def test_a_code_is_long_and_never_the_same(cast):
    codes = {make_code(person=cast.cal, by=cast.ada) for _ in range(20)}
    assert len(codes) == 20
    assert {len(code.replace("-", "")) for code in codes} == {12}


def test_a_code_is_old_after_a_day(cast, code):
    # Expiry is a column, so the day is moved rather than waited for.
    kept = ResetCode.objects.get()
    assert timedelta(hours=HOURS - 1) < kept.expires_at - timezone.now() <= timedelta(hours=HOURS)
    ResetCode.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    with pytest.raises(AccountError, match="older than 24 hours"):
        use(code)
    assert is_password(cast.cal, PASSWORD)


def test_a_second_code_takes_the_place_of_the_first(cast, code):
    second = make_code(person=cast.cal, by=cast.ada)
    with pytest.raises(AccountError):
        use(code)
    assert use(second) == cast.cal


def test_a_code_is_good_for_its_person_only(cast, code):
    for name in ("ada", "ben", "nobody", "CAL", ""):
        with pytest.raises(AccountError) as refused:
            use(code, username=name)
        assert str(refused.value) == WRONG
    assert is_password(cast.ben, PASSWORD)


def test_guessing_closes_a_code_for_good(cast, code):
    for _ in range(MOST_FAILURES):
        with pytest.raises(AccountError):
            use("2222-2222-2222")
    with pytest.raises(AccountError):
        use(code)
    assert is_password(cast.cal, PASSWORD)


def test_a_weak_password_is_refused_and_the_code_opens_once_more(cast, code):
    with pytest.raises(AccountError, match="too short"):
        use(code, password="short")
    assert use(code) == cast.cal


def test_the_owner_of_another_outfit_makes_no_code(cast):
    with pytest.raises(AccountError, match="an outfit that you don't own"):
        make_code(person=cast.cal, by=cast.eve)
    assert not ResetCode.objects.exists()


def test_taking_someone_into_the_own_outfit_does_not_give_the_way_into_the_other(cast):
    add_person(outfit=cast.far_rim, username="ada", role=Role.READER, by=cast.eve)
    with pytest.raises(AccountError, match="manage.py password"):
        make_code(person=cast.ada, by=cast.eve)


def test_a_code_made_before_someone_joins_another_outfit_opens_nothing_there(cast, code):
    add_person(outfit=cast.far_rim, username="cal", role=Role.CREW, by=cast.eve)
    with pytest.raises(AccountError):
        use(code)


def test_office_crew_and_readers_make_no_codes(cast):
    for person in (cast.ben, cast.cal, cast.dot):
        with pytest.raises(AccountError):
            make_code(person=cast.ada, by=person)


def test_one_who_may_not_sign_in_any_more_gets_in_by_no_code(cast, code):
    cast.cal.is_active = False
    cast.cal.save()
    with pytest.raises(AccountError):
        use(code)


def test_making_and_using_a_code_are_noted_in_every_outfit_of_the_person(cast, code):
    OutfitPerson.objects.create(outfit=cast.far_rim, person=cast.cal, role=Role.CREW)
    use(code)
    said = OutfitChange.objects.order_by("id").values_list("outfit__code", "says", "person_name")
    assert ("kettle-bench", "A one-time code for a new password was made for cal.", "ada") in said
    assert {row[0] for row in said if "by code" in row[1]} == {"kettle-bench", "far-rim"}
