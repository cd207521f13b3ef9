"""Tags put on and taken off."""

from collections import Counter
from uuid import UUID

from herd.ledger.rows import in_steps, new_row
from herd.registry.models import Animal, Tag, TagKind, TagWearing, WearingEnded
from herd.registry.services.batch import PutOn, WornBefore
from herd.registry.services.work import Work, fetch, insert, save_all, update
from herd.registry.services.write_retags import replaced_by
from herd.values.identity import new_id

Key = tuple[str, str, str, int]


def take_tags_off(work: Work) -> None:
    """End open wearings."""
    wanted = work.batch.take_off
    if not wanted:
        return
    rows = fetch(TagWearing, work.outfit, (one.wearing_id for one in wanted), to_edit=True)
    for one in wanted:
        row = rows.get(one.wearing_id)
        if row is None or not row.is_open:
            work.refuse("That tag is not on the animal any more.", field_name="tag")
        elif one.ended not in WearingEnded.values:
            work.refuse(f"{one.ended!r} is no reason for taking a tag off.", field_name="ended")
        elif one.worn_to > work.today:
            work.refuse(f"The day {one.worn_to} lies in the future.", field_name="worn_to")
        elif row.worn_from and one.worn_to < row.worn_from:
            work.refuse(
                f"The tag went on on {row.worn_from}; it can't have come off on {one.worn_to}.",
                field_name="worn_to",
                animal_id=row.animal_id,
            )
        else:
            ended = {"worn_to": one.worn_to, "ended": one.ended}
            told = {"ended_reason": one.reason, "removed_at": one.removed_at}
            update(work, row, {**ended, **told}, source=one.source, reason=one.reason)
    if not work.refusals:
        save_all(rows.values(), ["worn_to", "ended", "ended_reason", "removed_at"])


def put_tags_on(work: Work) -> None:
    """Open wearings, making the tags that are new to the outfit."""
    wanted = work.batch.put_on
    if not wanted:
        return
    _check_animals(work, wanted)
    tags = _find_tags(work, wanted)
    open_ones = [one for one in wanted if not (one.past and one.past.ended)]
    _check_free(work, open_ones, tags)
    worn = _check_single_eid(work, open_ones)
    if work.refusals:
        return
    _make_tags(work, wanted, tags)
    rows = [
        _wearing(work, one, tags[_key(one)], replaced, worn)
        for one, replaced in zip(wanted, replaced_by(work, wanted), strict=True)
    ]
    insert(work, rows, [one.source for one in wanted])


def _wearing(work: Work, one: PutOn, tag: Tag, replaced: UUID | None, worn: set[UUID]) -> TagWearing:
    # A reason may also stand beside the only EID, put on an animal that wears a metal tag.
    is_second = bool(one.second_reason) and (one.kind != TagKind.EID or one.animal_id in worn)
    past = one.past or WornBefore(is_second=is_second)
    return new_row(
        TagWearing,
        id=one.id,
        outfit_id=work.outfit.pk,
        tag_id=tag.pk,
        animal_id=one.animal_id,
        kind=one.kind,
        worn_from=one.worn_from,
        worn_from_precision=one.precision,
        began=one.began,
        is_second=past.is_second,
        second_reason=one.second_reason,
        replaces_id=replaced,
        worn_to=past.worn_to,
        ended=past.ended,
        ended_reason=past.ended_reason,
        removed_at=past.removed_at,
    )


def _key(one: PutOn) -> Key:
    return (one.kind, one.number, one.colour, one.issuer_year)


def _check_animals(work: Work, wanted: list[PutOn]) -> None:
    known = fetch(Animal, work.outfit, (one.animal_id for one in wanted))
    for one in wanted:
        if one.animal_id not in known:
            work.refuse("That animal is not in this outfit's record.", animal_id=one.animal_id)
        if one.kind not in TagKind.values or not one.number.strip():
            work.refuse("A tag needs a kind and a number.", field_name="number", animal_id=one.animal_id)
        if one.worn_from and one.worn_from > work.today:
            work.refuse(
                f"The tag can't have gone on on {one.worn_from}, which lies in the future.",
                field_name="worn_from",
                animal_id=one.animal_id,
            )
        if one.past is not None:
            _check_past(work, one, one.past)


def _check_past(work: Work, one: PutOn, past: WornBefore) -> None:
    """Refuse a wearing told whole whose end is none, lies in the future or before its beginning."""
    wrong = ""
    if past.ended and past.ended not in WearingEnded.values:
        wrong = f"{past.ended!r} is no reason for taking a tag off."
    elif past.worn_to and not past.ended:
        wrong = "A tag that came off needs a reason why."
    elif past.worn_to and past.worn_to > work.today:
        wrong = f"The day {past.worn_to} lies in the future."
    elif past.worn_to and one.worn_from and past.worn_to < one.worn_from:
        wrong = f"The tag went on on {one.worn_from}; it can't have come off on {past.worn_to}."
    if wrong:
        work.refuse(wrong, field_name="worn_to", animal_id=one.animal_id)


def _find_tags(work: Work, wanted: list[PutOn]) -> dict[Key, Tag]:
    """Return the tags among these that the outfit has already."""
    found: dict[Key, Tag] = {}
    for numbers in in_steps({one.number for one in wanted}):
        for tag in Tag.objects.of(work.outfit).filter(number__in=numbers):
            found[(tag.kind, tag.number, tag.colour, tag.issuer_year)] = tag
    return found


def _check_free(work: Work, wanted: list[PutOn], tags: dict[Key, Tag]) -> None:
    """Refuse a tag that is on an animal now, or that the batch puts on two."""
    known = {tag.pk: key for key, tag in tags.items()}
    for ids in in_steps({tags[_key(one)].pk for one in wanted if _key(one) in tags}):
        worn = TagWearing.objects.of(work.outfit).filter(tag__in=ids, ended="")
        for wearing in worn:
            work.refuse(
                f"{known[wearing.tag_id][1]} is on another animal now.",
                field_name="number",
                animal_id=wearing.animal_id,
            )
    for key, count in Counter(_key(one) for one in wanted).items():
        if count > 1:
            work.refuse(f"{key[1]} would be on {count} animals.", field_name="number")


def _check_single_eid(work: Work, wanted: list[PutOn]) -> set[UUID]:
    """Refuse an EID for an animal that wears one, unless it is given as a second with its reason.

    Returns the animals on which an EID with a reason is not the only one.
    """
    all_of = Counter(one.animal_id for one in wanted if one.kind == TagKind.EID)
    firsts = Counter(one.animal_id for one in wanted if one.kind == TagKind.EID and not one.second_reason)
    worn: dict[UUID, TagWearing] = {}
    for ids in in_steps(all_of):
        open_ones = TagWearing.objects.of(work.outfit).filter(
            animal__in=ids, kind=TagKind.EID, ended="", is_second=False
        )
        worn.update({wearing.animal_id: wearing for wearing in open_ones.select_related("tag")})
    for animal_id, count in firsts.items():
        if animal_id in worn:
            work.refuse(
                f"The animal wears EID {worn[animal_id].tag.number}; take it off first, "
                "or give a reason for a second one.",
                field_name="number",
                animal_id=animal_id,
            )
        elif count > 1:
            work.refuse("An animal wears one EID, unless a second has its reason.", animal_id=animal_id)
    return {*worn, *(animal_id for animal_id, count in all_of.items() if count > 1)}


def _make_tags(work: Work, wanted: list[PutOn], tags: dict[Key, Tag]) -> None:
    rows, sources = [], []
    for one in wanted:
        key = _key(one)
        if key not in tags:
            kind, number, colour, year = key
            tags[key] = new_row(
                Tag,
                id=new_id(),
                outfit_id=work.outfit.pk,
                kind=kind,
                number=number,
                backwards=number[::-1],
                colour=colour,
                issuer_year=year,
            )
            rows.append(tags[key])
            sources.append(one.source)
    insert(work, rows, sources)
