"""The rules for words, held by every text a person reads or hears."""

import csv
import re
from collections import Counter, defaultdict
from dataclasses import dataclass

import pytest

from haleward.wording import WORDING_FOLDER, default_wording
from tests.wording.reading import (
    FOLDER,
    as_heard,
    automated_readability_index,
    grade,
    sample_values,
    seconds,
    sentences,
    syllables,
    words,
)

MOST_WORDS_IN_A_SENTENCE = 20
WORDS_AIMED_AT = 15
SHARE_OF_SHORT_SENTENCES = 0.99
HIGHEST_GRADE = 6
FEWEST_WORDS_FOR_A_GRADE = 8
LONGEST_CUE_S = 6
EVERYDAY_LONG_WORDS = frozenset(
    (
        *("comfortable", "television", "operation", "everything", "exercises", "exercising", "diabetes", "emergency"),
        *("january", "february"),
    )
)
FORBIDDEN = re.compile(
    r"\b(e\.?g|i\.?e|etc|approx|max|min|mins|secs?|reps?|BP|HR|GTN|ICD|RPE|MET|METs|GP|kg|bpm|cm|biceps|triceps|quads?"
    r"|quadriceps|glutes?|gluteals?|deltoids?|hamstrings?|trapezius|pectorals?|lats?|sternum|sternotomy|abdomen|abdominal"
    r"|angina|palpitations?|syncope|hypo|hypoglycaemia|oedema|dyspnoea|ischaemia|arrhythmia|hypertension|cardiac|vascular"
    r"|aerobic|anaerobic|repetitions?|scapulae?|flexion|extension|prone|supine|fail|failed|failure|lazy|excuses?|cheat"
    r"|streak|non-compliant|compliance|refuse|bad|wrongly|should have|must|piece of cake|rule of thumb"
    r"|in the same boat|no pain|burn|go for it|smash|color|center|program|behavior|meters?|gray|practice makes|hang in"
    r"|bite the|feel under the weather)\b",
    re.IGNORECASE,
)
MOVING_VERBS = re.compile(
    r"(Sit|Put|Let|Turn|Lift|Take|Choose|Keep|Stop|Stand|Rest|Use|Hold|Lean|Bend|Place|Move|Tighten|Tuck|Walk|Bring"
    r"|Point|Push|Pause|Drop|Draw|Make|Press|Lower|Look|Reach|Slide|Step|Fold|Loop|Fasten|Tie|Check|Pull|Add|Relax"
    r"|Breathe|Feel|Find|Call|Ring|Do|Set)"
)
OTHER_VERBS = re.compile(
    r"(Adjust|Ask|Bounce|Clear|Count|Cross|Dip|Face|Firm|Fix|Get|Grip|Land|Loosen|Match|Open|Pass|Pedal|Picture"
    r"|Prepare|Punch|Raise|Rise|Row|Shake|Share|Shift|Shorten|Slow|Soften|Spread|Squeeze|Start|Stay|Straighten|Strap"
    r"|Sway|Swing|Tap|Touch|Wear)"
)
COLOURS = re.compile(r"\b(red|green|blue|yellow|black|white|silver|gold|orange|grey)\b", re.IGNORECASE)
NO_END_MARK = {"label", "button", "count", "title", "heading", "move_out", "move_back", "clause"}
VERB_FIRST = {"setup_1", "setup_2", "setup_3", "setup_4", "make_it_easier", "make_it_harder", "common_fault_fix_1",
              "common_fault_fix_2", "stop_if"}  # fmt: skip
ONLY_SAID = {"cue", "count"}  # never printed: a voice says them
PRINTED_WITH_A_MOVEMENT = (
    "purpose_one_line", "setup_1", "setup_2", "setup_3", "setup_4", "breathing", "kit_hand_weight", "kit_bottle",
    "kit_band", "kit_own_weight", "kit_ankle_weight", "kit_other", "band_setup", "make_it_easier", "make_it_harder",
    "common_fault_fix_1", "common_fault_fix_2", "stop_if",
)  # fmt: skip
NOT_SPOKEN_WORDS = {"movement_id", "posture", "effort_phase"}


@dataclass(frozen=True)
class Text:
    """One text for people: where it stands, what kind it is, and how it sounds."""

    place: str
    kind: str
    text: str

    @property
    def heard(self):
        return as_heard(self.frame.format(self.text))

    @property
    def frame(self):
        """What a clause is read in: the reason why heart rate is not used ends a sentence."""
        return WHY_NO_RATE.replace("{reason}", "{}") if self.kind == "clause" else "{}"


def rows(name):
    with (WORDING_FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


WHY_NO_RATE = next(row["text"] for row in rows("letters") if row["key"] == "intensity_no_hr")


def listed(name):
    """The rows of a table that stands beside these tests."""
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


MOVEMENTS, SESSION, SAFETY = rows("movements"), rows("session"), rows("safety")
MOVEMENT_TEXTS = [
    Text(f"{row['movement_id']}/{row['posture']}/{column}", column, text)
    for row in MOVEMENTS
    for column, text in row.items()
    if text and column not in NOT_SPOKEN_WORDS
]
STAFF_TABLES = {row["table"] for row in listed("readers") if row["reader"] == "staff"}
OTHER_TEXTS = [
    Text(f"{path.stem}/{row['key']}", row.get("level") or row.get("kind") or "clause", row["text"])
    for path in sorted(WORDING_FOLDER.glob("*.csv"))
    if path.stem not in STAFF_TABLES
    for row in rows(path.stem)
    if "text" in row and row.get("audience", "person") in ("person", "carer")
]
TEXTS = MOVEMENT_TEXTS + OTHER_TEXTS


def breaches(broken, rule=""):
    """Every text that breaks a rule, by place, so that one run names them all; what is listed as excepted is not."""
    excepted = {row["place"] for row in listed("exceptions") if row["rule"] == rule}
    return [f"{text.place}: {text.text}" for text in TEXTS if text.place not in excepted and broken(text)]


def test_there_are_texts_to_check():
    assert len(TEXTS) > 3000


def test_no_sentence_is_longer_than_twenty_words():
    assert not breaches(lambda t: any(len(words(s)) > MOST_WORDS_IN_A_SENTENCE for s in sentences(t.heard)))


def test_nearly_every_sentence_has_fifteen_words_or_fewer():
    lengths = [len(words(sentence)) for text in TEXTS for sentence in sentences(text.heard)]
    assert sum(length <= WORDS_AIMED_AT for length in lengths) >= SHARE_OF_SHORT_SENTENCES * len(lengths)


def test_every_text_of_eight_words_or_more_reads_at_grade_six_or_below():
    assert not breaches(lambda t: len(words(t.heard)) >= FEWEST_WORDS_FOR_A_GRADE and grade(t.heard) > HIGHEST_GRADE)


def test_no_word_has_four_syllables_unless_it_is_the_everyday_word():
    assert not breaches(
        lambda t: any(syllables(w) >= 4 and w.lower() not in EVERYDAY_LONG_WORDS for w in words(t.heard))
    )


@pytest.mark.parametrize("row", MOVEMENTS, ids=lambda row: f"{row['movement_id']}-{row['posture']}")
def test_every_movement_reads_at_the_age_of_eleven_or_below_by_two_formulas(row):
    block = " ".join(row[column] for column in PRINTED_WITH_A_MOVEMENT if row[column])
    assert grade(block) <= HIGHEST_GRADE
    assert automated_readability_index(block) <= HIGHEST_GRADE


@pytest.mark.parametrize("topic", sorted({row["topic"] for row in SAFETY}))
def test_every_safety_topic_reads_at_the_age_of_eleven_or_below_by_two_formulas(topic):
    block = as_heard(" ".join(row["text"] for row in SAFETY if row["topic"] == topic))
    assert grade(block) <= HIGHEST_GRADE
    assert automated_readability_index(block) <= HIGHEST_GRADE


def test_no_text_asks_for_a_sum_or_gives_it_in_signs():
    signs = re.compile(
        r"[%+×÷=<>≥≤°^]|\d/\d|\b(add up|subtract|multiply|divide|per cent|percent|fraction)\b", re.IGNORECASE
    )
    assert not breaches(lambda t: signs.search(t.text))


def test_a_sentence_gives_one_range_of_numbers_at_most():
    number = r"(\d[\d.]*|\{\w+\})"
    ranges = re.compile(rf"{number} (to|or|and) {number}")
    assert not breaches(lambda t: any(len(ranges.findall(sentence)) > 1 for sentence in sentences(t.text)))


def test_a_quantity_with_its_unit_is_in_digits_or_is_one():
    units = "seconds|minutes|hours|days|weeks|months|kilograms|grams|centimetres|metres|millilitres|beats|sets|sprays"
    numbers = "two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty|forty|fifty|sixty"
    in_words = re.compile(rf"\b({numbers}) ({units})\b", re.IGNORECASE)
    assert not breaches(lambda t: t.kind not in ONLY_SAID and in_words.search(t.text))


def test_the_numbers_that_differ_between_teams_are_never_written_into_a_text():
    local = re.compile(r"\d{3}|\b\d+ (sprays?|doses?)\b|\b(after a meal|big meal)\b")
    assert not breaches(
        lambda t: local.search(t.text.replace("{meal_wait} after a meal", "").replace("{meal_wait} of a big meal", ""))
    )


def test_every_exception_is_still_needed_and_says_why():
    places = {text.place: text for text in TEXTS}
    for row in listed("exceptions"):
        assert len(words(row["reason"])) >= 5
        assert row["place"].startswith("print/") or COLOURS.search(places[row["place"]].text)


def test_a_table_is_for_people_unless_it_is_listed_as_read_by_staff():
    tables = {path.stem for path in WORDING_FOLDER.glob("*.csv")}
    assert {row["table"] for row in listed("readers")} <= tables
    assert all(row["reason"] for row in listed("readers"))


def test_nothing_is_shouted():
    assert not breaches(lambda t: "!" in t.text or re.search(r"\b[A-Z]{2,}\b", t.text))


def test_no_mark_that_cannot_be_read_aloud():
    assert not breaches(lambda t: re.search(r"[;—–()&/*_]", re.sub(r"\{\w+\}", "", t.text)))


def test_no_forbidden_word():
    assert not breaches(lambda t: FORBIDDEN.search(t.heard))


def test_every_sentence_has_its_end_mark():
    assert not breaches(lambda t: t.kind not in NO_END_MARK and t.text[-1] not in ".?:}")


def test_every_cue_can_be_said_in_six_seconds():
    cues = {"move_out", "move_back", "hold", "cue", "count", "breathing"}
    assert not breaches(lambda t: t.kind in cues and seconds(t.heard) > LONGEST_CUE_S)


def test_the_words_of_a_move_are_two_to_four():
    assert not breaches(lambda t: t.kind in ("move_out", "move_back") and not 2 <= len(words(t.heard)) <= 4)


def test_what_a_movement_is_good_for_fills_twelve_to_twenty_five_seconds_in_two_or_three_sentences():
    assert not breaches(
        lambda t: (
            t.kind.startswith("why_told") and not (12 <= seconds(t.heard) <= 25 and 2 <= len(sentences(t.heard)) <= 3)
        )
    )


def test_instructions_start_with_the_verb():
    assert not breaches(
        lambda t: t.kind in VERB_FIRST and not (MOVING_VERBS.match(t.text) or OTHER_VERBS.match(t.text))
    )


def test_one_instruction_to_a_sentence():
    second = re.compile(rf"\b(and|then) {MOVING_VERBS.pattern.lower()}\b")
    of_movements = frozenset(MOVEMENT_TEXTS)
    told = ("setup", "kit", "band", "move", "hold", "make", "common", "stop")
    assert not breaches(
        lambda t: (
            t in of_movements
            and t.kind.startswith(told)
            and any(MOVING_VERBS.match(s) and second.search(s) for s in sentences(t.text))
        )
    )


@pytest.mark.parametrize("column", ["why_told_in_rest", "why_told_in_rest_2", "purpose_one_line"])
def test_no_two_movements_share_a_sentence_about_what_they_are_good_for(column):
    owners = defaultdict(set)
    for row in MOVEMENTS:
        for sentence in sentences(row[column]):
            owners[sentence].add(row["movement_id"])
    assert not {sentence: ids for sentence, ids in owners.items() if len(ids) > 1}


def test_every_title_names_one_movement():
    owners = defaultdict(set)
    for row in MOVEMENTS:
        owners[row["title"]].add(row["movement_id"])
    assert not {title: ids for title, ids in owners.items() if len(ids) > 1}


def test_the_first_row_of_every_safety_topic_is_an_emergency_row():
    first = {}
    for row in SAFETY:
        key = (row["topic"], row["audience"])
        if key not in first or int(row["order"]) < int(first[key]["order"]):
            first[key] = row
    assert not [row["key"] for row in first.values() if row["level"] != "emergency"]


def test_no_two_rows_of_a_topic_have_the_same_place():
    orders = defaultdict(list)
    for row in SAFETY:
        orders[row["topic"], row["audience"]].append(int(row["order"]))
    assert not {key: found for key, found in orders.items() if len(found) != len(set(found))}


@pytest.mark.parametrize("name", ["session", "safety", "letters", "staff"])
def test_the_placeholders_listed_are_those_used(name):
    wrong = [row["key"] for row in rows(name) if sorted(row["placeholders"].split()) != sorted(set(used(row["text"])))]
    assert not wrong


def used(text):
    return re.findall(r"\{(\w+)\}", text)


def test_every_placeholder_for_people_has_a_sample_value():
    assert {name for text in TEXTS for name in used(text.text)} <= set(sample_values())


@pytest.mark.parametrize("name", ["safety", "letters", "staff"])
def test_no_text_stands_twice_in_a_table(name):
    counts = Counter(row["text"] for row in rows(name) if row.get("kind") not in ("label", "heading"))
    allowed = {"Stop and sit down.", "Stop exercising and sit down."}  # each safety topic stands alone
    assert not [text for text, count in counts.items() if count > 1 and text not in allowed]


def test_a_band_line_and_its_set_up_are_filled_together():
    assert not [row for row in MOVEMENTS if bool(row["kit_band"]) != bool(row["band_setup"])]


def test_nothing_is_told_by_its_colour():
    assert not breaches(lambda t: COLOURS.search(t.text), "colour")


def test_every_variant_and_symptom_names_a_text_and_a_topic_that_exist():
    wording = default_wording()
    assert all(wording.has_key(row["key"]) for row in rows("variants"))
    assert all(wording.has_key(row["label_key"]) for row in rows("symptoms"))
    assert {row["topic"] for row in rows("symptoms")} <= set(wording.topics)
