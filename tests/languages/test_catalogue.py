"""Catalogues are read whole or refused with one sentence; a changed English text retires its translation."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.errors import HalewardError
from haleward.languages import Text, Untranslated, languages, load_catalogue, person_texts, read_catalogue, translated
from haleward.languages.checks import findings, missing, refuse_faults
from haleward.languages.files import Head, head_of, po_files
from haleward.safety.protocol import default_protocol
from haleward.wording import default_wording, placeholders

WORDING = default_wording()
TEXTS = person_texts(WORDING, {one.key: one.label for one in default_protocol().concerns.symptoms})
HEAD = Head("xx", "Xisch", "Xish", "ltr")
MOST_MISSING = 0.05  # of a shipped draft, until new English texts are translated


def catalogue(**texts):
    """A catalogue of the table "session" with these translations by key."""
    base = read_catalogue({"session": po_files(HEAD, (Text("session", "One", ("count_1",)),))["session.po"]})
    return replace(base, texts={("session", WORDING.template(key)): told for key, told in texts.items()})


def of_text(english, told, *, direction="ltr", references=("a_key",)):
    text = Text("session", english, references)
    made = replace(catalogue(), direction=direction, texts={("session", english): told} if told else {})
    return {one.kind for one in findings(made, (text,))}


@pytest.mark.parametrize("tag", languages())
def test_a_shipped_draft_has_the_placeholders_and_numbers_of_the_english(tag):
    refuse_faults(load_catalogue(tag), TEXTS)
    assert len(missing(load_catalogue(tag), TEXTS)) <= MOST_MISSING * len(TEXTS)


def test_a_european_and_a_right_to_left_language_ship():
    assert {load_catalogue(tag).direction for tag in languages()} == {"ltr", "rtl"}


def test_files_come_back_as_they_were_written():
    shipped = load_catalogue("de")
    files = po_files(head_of(shipped), TEXTS, shipped)
    again = read_catalogue({name.removesuffix(".po"): content for name, content in files.items()})
    assert again.texts == {place: text for place, text in shipped.texts.items() if text}
    assert again.digest == shipped.digest
    assert "needs review by a qualified translator" in files["safety.po"]


_WRITTEN = st.text('aß ا\u2068{}"\\#%:.\t', min_size=1, max_size=30)


@given(st.integers(0, len(TEXTS) - 5), _WRITTEN)
@settings(max_examples=15, deadline=None)
def test_any_translation_survives_the_file(first, told):
    texts = TEXTS[first : first + 5]
    made = replace(load_catalogue("de"), texts={(text.table, text.english): told for text in texts}, forms={})
    files = po_files(head_of(made), texts, made)
    again = read_catalogue({name.removesuffix(".po"): content for name, content in files.items()})
    assert again.texts == made.texts


def test_a_translation_for_one_key_goes_before_that_of_its_text():
    made = replace(catalogue(), texts={("session", "Hold"): "halten", ("hold_label", "Hold"): "Haltezeit"})
    assert made.find("session", "Hold", "hold_label") == "Haltezeit"
    assert made.find("session", "Hold", "another") == "halten"


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("nonsense", "session.po is not a PO file"),
        ('msgid "One"\nmsgstr "Eins"\n', "lacks Language"),
        ("", "lacks Language"),
    ],
)
def test_a_file_that_is_no_catalogue_is_one_sentence(content, told):
    with pytest.raises(HalewardError, match=told):
        read_catalogue({"session": content})


def test_files_of_two_languages_are_not_one_catalogue():
    other = po_files(replace(HEAD, tag="yy"), (Text("print", "Day", ("print_day",)),))["print.po"]
    mine = po_files(HEAD, (Text("session", "One", ("count_1",)),))["session.po"]
    with pytest.raises(HalewardError, match="yy"):
        read_catalogue({"session": mine, "print": other})


def test_what_the_translator_marked_as_uncertain_is_no_translation():
    content = po_files(HEAD, (Text("session", "One", ("count_1",)),), catalogue(count_1="Eins"))["session.po"]
    assert read_catalogue({"session": content}).texts
    assert not read_catalogue({"session": content.replace("#: count_1", "#: count_1\n#, fuzzy")}).texts


def test_a_changed_english_text_retires_its_translation():
    german = load_catalogue("de")
    before = translated(WORDING, german)
    assert before.template("next_button")
    after = translated(WORDING.with_texts({"next_button": "Onwards"}), german)
    with pytest.raises(Untranslated, match="Onwards"):
        after.template("next_button")
    changed = person_texts(WORDING.with_texts({"next_button": "Onwards"}))
    assert {one.english for one in findings(german, changed) if one.kind == "missing"} >= {"Onwards"}


@pytest.mark.parametrize(
    ("english", "told", "kind"),
    [
        ("Ring {team_phone} now.", "Rufen Sie {team_phone} an.", None),
        ("Ring {team_phone} now.", "Rufen Sie {phone} an.", "placeholders"),
        ("Ring {team_phone} now.", "Rufen Sie team_phone} an.", "placeholders"),
        ("Wait 15 minutes.", "Warten Sie 15 Minuten.", None),
        ("Wait 15 minutes.", "Warten Sie 50 Minuten.", "numbers"),
        ("Wait 15 minutes.", "Warten Sie eine Weile.", "numbers"),
        ("Wait two minutes.", "Warten Sie 2 Minuten.", None),
        ("Wait two minutes.", "Warten Sie 3 Minuten.", "numbers"),
        ("Wait 2 minutes.", "Warten Sie zwei Minuten.", "number in words"),
        ("Stand up now.", "Stand up now.", "left in English"),
        ("Plan", "Plan", None),
        ("Stand up.", "", "missing"),
    ],
)
def test_what_rules_can_tell_of_a_translation(english, told, kind):
    assert of_text(english, told) == ({kind} if kind else set())


def test_latin_words_in_arabic_letters_are_left_english():
    assert of_text("Sit down.", "اجلس sit", direction="rtl") == set()
    assert of_text("Sit down.", "اجلس down", direction="rtl") == {"left in English"}


def test_a_cue_must_be_read_at_a_glance():
    long = "Stellen Sie sich ganz langsam und vorsichtig wieder hin."
    assert of_text(WORDING.template("position_stand"), long, references=("position_stand",)) == {"too long"}
    assert of_text("A line.", long) == set()


@given(st.sampled_from(languages()), st.data())
@settings(max_examples=30, deadline=None)
def test_a_translated_sentence_has_every_value_and_no_brace(tag, data):
    other = translated(WORDING, load_catalogue(tag))
    tables = [text for text in TEXTS if text.table == "session" and load_catalogue(tag).of(text)]
    text = data.draw(st.sampled_from(tables))
    values = {name: data.draw(st.integers(0, 999).map(str)) for name in placeholders(text.english)}
    told = other.text(text.references[0], values)
    assert "{" not in told
    assert all(value in told for value in values.values())


VALUES = [
    ("de", "25 November 2026", "25. November 2026"),
    ("de", "1.5", "1,5"),
    ("de", "two kilograms", "2 Kilogramm"),
    ("de", "seven", "7"),
    ("de", "Monday and Thursday", "Montag und Donnerstag"),
    ("ar", "25 Nov", "25 نوفمبر"),
    ("ar", "01632 960000", "\u206601632 960000\u2069"),
    ("ar", "12", "12"),
    ("ar", "Wednesday", "الأربعاء"),
]


@pytest.mark.parametrize(("tag", "english", "told"), VALUES)
def test_values_are_told_in_the_language(tag, english, told):
    assert translated(WORDING, load_catalogue(tag)).value("", english) == told


def test_a_name_stays_as_it_is_written_and_keeps_together():
    assert translated(WORDING, load_catalogue("de")).value("first_name", "Ana") == "Ana"
    assert translated(WORDING, load_catalogue("ar")).value("first_name", "Ana") == "\u2068Ana\u2069"


def test_a_phrase_without_a_translation_is_refused_and_not_left_in_english():
    with pytest.raises(Untranslated, match="twice around the park"):
        translated(WORDING, load_catalogue("de")).value("hours", "twice around the park")


def test_an_unknown_language_is_one_sentence():
    with pytest.raises(HalewardError, match="there are: ar, de"):
        load_catalogue("tlh")
