"""What counts takes the form that its number needs: two in German, six in Arabic, whole or not taken."""

from __future__ import annotations

from dataclasses import replace

import pytest

from haleward.errors import HalewardError
from haleward.languages import Catalogue, load_catalogue, person_texts, read_catalogue, translated
from haleward.languages.checks import findings
from haleward.languages.files import KNOWN, Head, head_of, po_files
from haleward.languages.plurals import Plurals, counted_by
from haleward.wording import default_wording

WORDING = default_wording()
DAYS = next(text for text in person_texts() if text.english == "{number} days")
ARABIC = Plurals(KNOWN["ar"])


@pytest.mark.parametrize(
    ("english", "counted"),
    [
        ("Walk for {minutes} minutes today, {bout_count} times.", "minutes"),
        ("{sets} marches of {minutes} minutes", "sets"),
        ("{first_name} walks beside you.", ""),
        ("Minutes: {minutes}", ""),
    ],
)
def test_the_first_number_of_things_counts(english: str, counted: str) -> None:
    assert counted_by(english) == counted


def test_arabic_has_six_forms_and_german_two() -> None:
    assert [ARABIC.form(number) for number in (0, 1, 2, 3, 10, 11, 99, 100, 102, 103, 111)] == [
        0, 1, 2, 3, 3, 4, 4, 5, 5, 3, 4,
    ]  # fmt: skip
    assert [Plurals(KNOWN["de"]).form(number) for number in (0, 1, 2)] == [1, 0, 1]
    assert [ARABIC.only_number(form) for form in range(6)] == [0, 1, 2, None, None, None]


@pytest.mark.parametrize(
    ("tag", "number", "told"),
    [
        ("de", "1", "1 Tag"),
        ("de", "2", "2 Tage"),
        ("ar", "1", "يوم واحد"),
        ("ar", "4", "4 أيام"),
        ("ar", "11", "11 يومًا"),
        ("ar", "100", "100 يوم"),
    ],
)
def test_a_value_and_a_sentence_take_the_form_of_their_number(tag: str, number: str, told: str) -> None:
    wording = translated(WORDING, load_catalogue(tag))
    assert wording.text("value_days", {"number": number}) == told
    assert wording.value("hours", f"{number} days") == told


def test_german_minutes_are_told_in_the_singular_where_there_is_one() -> None:
    wording = translated(WORDING, load_catalogue("de"))
    assert wording.text("walk_go", {"minutes": "1"}).endswith("Gehen Sie 1 Minute.")
    assert wording.text("walk_go", {"minutes": "10"}).endswith("Gehen Sie 10 Minuten.")
    assert wording.text("seconds_label", {"seconds_left": "{seconds_left}"}) == "{seconds_left} Sekunden"


@pytest.mark.parametrize("tag", ["de", "ar"])
def test_every_form_of_a_shipped_draft_is_there_and_agrees_with_the_english(tag: str) -> None:
    shipped = load_catalogue(tag)
    assert len(shipped.forms) >= 7
    assert {len(forms) for forms in shipped.forms.values()} == {shipped.plurals.count}
    assert [one for one in findings(shipped, person_texts()) if one.is_fault] == []


def written(head: Head, catalogue: Catalogue | None = None) -> str:
    return po_files(head, (DAYS,), catalogue)["values.po"]


def test_a_translator_is_given_a_form_for_each_kind_of_number() -> None:
    template = written(Head("xx", "Xisch", "Xish", "ltr", plural_forms=KNOWN["ar"]))
    assert template.count("msgstr[") == 6
    assert "Counts {number}" in template
    assert read_catalogue({"values": template}).texts == {}
    shipped = load_catalogue("ar")
    again = read_catalogue({"values": written(head_of(shipped), shipped)})
    assert again.forms == {("values", DAYS.english): shipped.forms["values", DAYS.english]}


def test_a_form_left_open_is_no_translation() -> None:
    content = written(head_of(load_catalogue("ar")), load_catalogue("ar"))
    assert read_catalogue({"values": content.replace("يومين", "")}).of(DAYS) == ""


def test_another_number_of_forms_than_the_rule_has_is_one_sentence() -> None:
    content = written(head_of(load_catalogue("de")), load_catalogue("de"))
    with pytest.raises(HalewardError, match="has 2 plural forms; the head says 6"):
        read_catalogue({"values": content.replace(KNOWN["de"], KNOWN["ar"])})


@pytest.mark.parametrize(
    ("rule", "told"), [("many", "cannot be read"), ("nplurals=1; plural=(n != 1);", "names a form")]
)
def test_a_plural_rule_that_is_none_is_one_sentence(rule: str, told: str) -> None:
    with pytest.raises(HalewardError, match=told):
        Plurals(rule)


def test_a_form_for_several_numbers_must_have_the_number() -> None:
    shipped = load_catalogue("de")
    place = ("values", DAYS.english)

    def kinds(*forms: str) -> set[str]:
        made = replace(shipped, texts={place: forms[-1]}, forms={place: forms})
        return {one.kind for one in findings(made, (DAYS,))}

    assert kinds("ein Tag", "{number} Tage") == set()
    assert kinds("{number} Tag", "Tage") == {"placeholders"}
    assert kinds("{anzahl} Tag", "{number} Tage") == {"placeholders"}


def test_a_review_ends_when_a_form_changes() -> None:
    content = written(head_of(load_catalogue("de")), load_catalogue("de"))
    digests = {
        read_catalogue({"values": one}).digest for one in (content, content.replace('{number} Tag"', 'ein Tag"'))
    }
    assert len(digests) == 2
