"""What headings say, in five languages (dictionary words; short forms are common practice, no source)."""

import pytest

from herd.intake.columns.headings import read_heading
from herd.intake.columns.kinds import COLUMN_KINDS


@pytest.mark.parametrize("kind", sorted(COLUMN_KINDS))
def test_every_spelling_of_a_kind_names_it_wholly(kind):
    assert [word for word in COLUMN_KINDS[kind].words if read_heading(word).kinds.get(kind) != 1.0] == []


def test_the_roles_and_labels_are_complete():
    assert {one.role for one in COLUMN_KINDS.values()} == {
        "number",
        "when",
        "fact",
        "event",
        "detail",
        "unused",
    }
    assert all(one.label and one.words for one in COLUMN_KINDS.values())


@pytest.mark.parametrize(
    ("header", "kind"),
    [
        ("EID No.", "eid"),
        ("Caravana electrónica", "eid"),
        ("BOUCLE ELECTRONIQUE", "eid"),
        ("Elektronische Ohrmarke", "eid"),
        ("Brinco eletrônico", "eid"),
        ("LiveWeight", "weight"),
        ("peso vivo", "weight"),
        ("Poids vif (kg)", "weight"),
        ("Lebendgewicht", "weight"),
        ("LW_KG", "weight"),
        ("DOB", "born"),
        ("Fecha de nacimiento", "born"),
        ("Date de naissance", "born"),
        ("Geburtsdatum", "born"),
        ("Data de nascimento", "born"),
        ("Preg Check", "pregnancy"),
        ("Preñez", "pregnancy"),
        ("Trächtigkeit", "pregnancy"),
        ("Prenhez", "pregnancy"),
        ("TagColour", "vid_colour"),
        ("NUES", "metal"),
        ("Muestra", "tube"),
        ("Röhrchen", "tube"),
        ("Wartezeit (Tage)", "withdrawal_days"),
        ("Délai d'attente", "withdrawal_days"),
        ("Replaced by", "new_vid"),
        ("Mutternummer", "dam"),
        ("Mère", "dam"),
        ("Semental", "sire"),
        ("Uhrzeit", "time"),
        ("Observações", "note"),
    ],
)
def test_headings_of_five_languages_name_their_kind(header, kind):
    kinds = read_heading(header).kinds
    assert max(kinds, key=lambda key: kinds[key]) == kind


@pytest.mark.parametrize(
    ("header", "word"),
    [("Tag #", "tag"), ("Arete", "tag"), ("Ohrmarken-Nr.", "tag"), ("N° boucle", "tag"), ("Brinco", "tag"),
     ("Animal ID", "animal"), ("Cow", "animal"), ("Kuhnummer", "animal"), ("No.", "count"), ("#", "count"),
     ("Nº", "count"), ("Breed", ""), ("Tag colour", ""), ("", "")],
)  # fmt: skip
def test_a_heading_that_could_be_any_number_is_known_as_such(header, word):
    assert read_heading(header).number == word


@pytest.mark.parametrize(
    ("header", "unit", "purpose"),
    [
        ("Weight (lb)", "lb", ""),
        ("Birth Wt", None, "birth"),
        ("WeaningWeightKg", "kg", "weaning"),
        ("Peso al destete (kg)", "kg", "weaning"),
        ("Poids à la naissance", None, "birth"),
        ("Absetzgewicht [kg]", "kg", "weaning"),
        ("Peso de venda", None, "sale"),
        ("YW lbs", "lb", "yearling"),
        ("Weight kg/lb", None, ""),
    ],
)
def test_unit_and_purpose_of_a_weight_stand_in_its_heading(header, unit, purpose):
    heading = read_heading(header)
    assert (heading.unit, heading.purpose) == (unit, purpose)


def test_an_unknown_or_blank_heading_says_nothing():
    assert not read_heading("Zork").is_known
    assert read_heading("  ").is_blank
    assert read_heading("\u00b0").kinds == {}
