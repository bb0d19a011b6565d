"""A person's file: what it says, and one sentence for each of its faults."""

from __future__ import annotations

from contextlib import suppress
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haleward.errors import FileFault
from haleward.exchange.person_file import PersonFile, read_person_file, read_person_text
from haleward.record import Band, DayCheck, Event, Medicine

TODAY = date(2026, 11, 24)
EXAMPLES = Path(__file__).parents[2] / "examples"
SHORT = """format = "haleward-person/1"
assessed_on = 2026-11-20

[person]
first_name = "Morag"
"""


def read(text: str) -> PersonFile:
    return read_person_text(text, file="morag.toml", today=TODAY)


def faults(text: str) -> tuple[str, ...]:
    with pytest.raises(FileFault) as caught:
        read(text)
    return caught.value.faults


def changed(name: str, *changes: tuple[str, str]) -> str:
    text = (EXAMPLES / name).read_text(encoding="utf-8")
    for old, new in changes:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return text


def test_it_works() -> None:
    person = read_person_file(EXAMPLES / "morag.toml", today=TODAY)
    record = person.record
    assert (record.first_name, record.born_on, record.stature_m, record.mass_kg) == (
        "Morag",
        date(1964, 3, 14),
        1.65,
        72,
    )
    assert record.events == (Event("pci", date(2026, 9, 28), sternotomy=False, complicated=False),)
    assert record.medicines is not None
    assert record.medicines[0] == Medicine("beta_blocker", "bisoprolol", "2.5 mg once a day", date(2026, 9, 29))
    assert record.kit.hand_weight_pairs_kg == (1.0, 2.0)
    assert record.kit.bottle_pairs_kg == ()
    assert record.kit.step_height_m == 0.15
    assert record.answers["lvef_pct"] == 55
    assert person.service.values["emergency_number"] == "999"
    assert person.part == "one"


@pytest.mark.parametrize("text", ["two doses", "Two", "4"])
def test_a_number_that_its_sentence_cannot_say_is_kept_and_asked_for(text: str) -> None:
    person = read(f'{SHORT}[service]\nnitrate_doses = "{text}"\n')
    assert person.service.values["nitrate_doses"] == text
    assert person.notes == (
        f"service.nitrate_doses: “{text}” cannot be said in its sentence; "
        "give the number alone: one, two, three, 1, 2 or 3.",
    )
    assert read(f'{SHORT}[service]\nnitrate_doses = "two"\n').notes == ()


def test_the_short_file_leaves_everything_else_unknown() -> None:
    record = read(SHORT).record
    assert record.medicines is None
    assert record.kit.bottle_pairs_kg is None
    assert record.kit.bands is None
    assert record.device is None
    assert record.new_to_exercise is None
    assert record.answers == {}


def test_asked_and_none_is_not_the_same_as_not_asked() -> None:
    record = read(SHORT.replace("[person]", "medicine = []\n[person]") + "[kit]\nband = []\n").record
    assert record.medicines == ()
    assert record.kit.bands == ()


def test_stones_feet_words_and_bottles_are_read_and_the_bottle_is_explained() -> None:
    person = read_person_file(EXAMPLES / "alwyn.toml", today=TODAY)
    assert person.record.stature_m == pytest.approx(1.7272)
    assert person.record.mass_kg == pytest.approx(80.739, abs=0.001)  # 178 lb
    assert person.record.born_on == date(1949, 6, 9)
    assert person.record.kit.bottle_pairs_kg == (1.0,)
    assert person.record.kit.step_height_m == 0
    assert len(person.notes) == 1
    assert "1 L bottle full of water is taken as 1 kg (computed, likely 1 to 1.05 kg" in person.notes[0]


def test_a_weighed_bottle_keeps_its_weight() -> None:
    person = read(SHORT + '[kit]\nbottles = ["1.05 kg"]\n')
    assert person.record.kit.bottle_pairs_kg == (1.05,)
    assert person.notes == ()


def test_a_measured_band_is_read_in_newtons() -> None:
    record = read_person_file(EXAMPLES / "ines.toml", today=TODAY).record
    assert record.kit.bands == (Band("long flat band", 38, 1.5, date(2026, 11, 19), latex=False),)


MEASURED = """
[[kit.band]]
name = "short loop"
length = "1.2 m"
marks = "50 cm"
readings = ["75 cm at 2.1 kg", "1 m at 3.5 kg", "125 cm at 46.1 N"]
measured_on = 2026-11-19
latex = true
latex_ok = false
can_grip = true
"""


def test_a_band_is_read_by_three_readings_of_a_scale_in_kilograms_or_newtons() -> None:
    bands = read(SHORT + MEASURED).record.kit.bands
    assert bands is not None
    (band,) = bands
    assert [stretch for stretch, _ in band.readings] == [1.5, 2.0, 2.5]
    assert [kilograms for _, kilograms in band.readings] == [2.1, 3.5, pytest.approx(4.7, abs=0.001)]
    shape = [stretch - stretch**-2 for stretch in (1.5, 2.0, 2.5)]  # a thin strip, by hand
    force = [9.81 * kilograms for _, kilograms in band.readings]
    by_hand = sum(f * s for f, s in zip(force, shape, strict=True)) / sum(s * s for s in shape)
    assert band.stiffness_n == pytest.approx(by_hand, abs=0.001)
    assert band.misfit is not None
    assert band.misfit < 0.05
    assert (band.measured_on, band.latex, band.latex_ok, band.can_grip) == (date(2026, 11, 19), True, False, True)


def test_what_is_not_written_of_a_band_was_not_asked() -> None:
    bands = read_person_file(EXAMPLES / "ines.toml", today=TODAY).record.kit.bands
    assert bands is not None
    assert (bands[0].readings, bands[0].misfit, bands[0].latex_ok, bands[0].can_grip) == ((), None, None, None)


@pytest.mark.parametrize(
    ("old", "new", "line", "told"),
    [
        ('marks = "50 cm"\n', "", 10, "kit.band.marks is missing"),
        ('marks = "50 cm"', 'marks = "50"', 10, "no unit"),
        ("2.1 kg", "2.1", 11, '"75 cm at 2.1" is not a reading'),
        ("2.1 kg", "2.1 lb", 11, "is not a reading"),
        ("75 cm at", "7.5 cm at", 11, "outside 20 to 500 cm"),
        ('"75 cm at 2.1 kg", ', "", 11, "kit.band.readings holds 2; pull the band to three different lengths"),
        ("46.1 N", "90 N", 11, "by the other readings it would be 4.7 kg"),
        ("125 cm", "250 cm", 11, "times its length"),
        ("marks =", "stiffness_n = 40\nmarks =", 12, "write one of them"),
        ("can_grip = true", 'can_grip = "weak"', 15, "it must be true or false"),
        ("latex = true", 'colour = "red"', 13, '"colour" is not a key'),
    ],
)
def test_a_fault_of_a_reading_is_one_sentence_with_its_line(old: str, new: str, line: int, told: str) -> None:
    assert old in MEASURED
    found = faults(SHORT + MEASURED.replace(old, new, 1))
    assert len(found) == 1, found
    assert found[0].startswith(f"morag.toml, line {line}: "), found
    assert told in found[0]


def test_the_free_room_is_one_of_three_sizes_or_not_asked() -> None:
    assert read(SHORT).record.kit.room is None
    assert read(SHORT + '[kit]\nroom = "arms_out"\n').record.kit.room == "arms_out"
    (told,) = faults(SHORT + '[kit]\nroom = "steps"\n')
    assert told.startswith("morag.toml, line 7: ")
    assert "Write one of: seat, arms_out, few_steps." in told


def test_every_fault_is_told_in_one_pass_with_its_line() -> None:
    text = changed(
        "morag.toml",
        ('"165 cm"', "1.65"),
        ("born = 1964-03-14", 'born = "04/05/1964"'),
        ("rhythm =", "rythm ="),
        ("systolic_mmhg = 128", "systolic_mmhg = 70"),
        ("firm_chair = true", 'firm_chair = "yes"'),
        ('"monday"', '"mondy"'),
        ("falls_12m", "fals_12m"),
        ("nurse_line", "nurs_line"),
    )
    lines = text.splitlines()
    found = faults(text)
    assert len(found) == 8
    for fault, (start, told) in zip(
        found,
        [
            ("born", "could be two dates"),
            ("height", '"1.65" has no unit. Write the unit too, for example 172 cm'),
            ("rythm", 'did you mean "rhythm"?'),
            ("systolic", "upper value (70) must be higher than the lower value (76)"),
            ("firm_chair", "kit.firm_chair is 'yes'; it must be true or false"),
            ("exercise_days", 'did you mean "monday"?'),
            ("fals_12m", 'did you mean "falls_12m"?'),
            ("nurs_line", 'did you mean "nurse_line"?'),
        ],
        strict=True,
    ):
        number = next(n for n, line in enumerate(lines, start=1) if line.startswith(start))
        assert fault.startswith(f"morag.toml, line {number}: ")
        assert told in fault


def test_the_answers_of_a_day_keep_their_time() -> None:
    person = read(SHORT + "[today]\nasked_at = 2026-11-24T09:30:00\nchest_pain_now = false\n")
    assert person.day == DayCheck(datetime(2026, 11, 24, 9, 30), {"chest_pain_now": False}, "staff")  # noqa: DTZ001
    assert read(SHORT).day is None


@pytest.mark.parametrize(
    ("addition", "told"),
    [
        ("[today]\nchest_pain_now = false\n", "today.asked_at is missing"),
        (
            "[today]\nasked_at = 2026-11-24\n",
            "asked_at is 2026-11-24; it must be a date with a time (2026-11-24T09:30:00)",
        ),
        ("[today]\nasked_at = 2026-11-25T09:30:00\n", "is in the future"),
        ("[persn]\n", '"persn" is not a key of the file; did you mean "person"?'),
        ("[device]\nlower_rate_bpm = 40\n", "device.kind is missing"),
        ('[device]\nkind = "icd"\nlowest_detection_bpm = 15\n', "15 bpm is outside 30 to 260 bpm"),
        ('[[event]]\nkind = "heart"\n', '"heart" is not known'),
        ('[[event]]\nkind = "pci"\non = 2027-01-01\n', "2027-01-01 is in the future"),
        ("[answers]\nglucose_mmol = 126\n", "126 looks like mg/dL"),
        ("[answers]\nchf_present = 1\n", "answers.chf_present must be true or false"),
        ("[answers]\nsbp_rest = 128\n", "this is read from [blood_pressure] systolic_mmhg; write it there only"),
        ('[answers]\naortic_stenosis = "bad"\n', "Write one of: none, mild, moderate, severe"),
        ("[answers]\nlvef_pct = 550\n", "550 % is outside 5 to 85 %"),
        ("[heart_rate]\nresting_bpm = 62\n", "heart_rate.taken_on is missing"),
        ("[heart_rate]\nclinician_ceiling_bpm = 110\n", "write who set the ceiling"),
        ('[kit]\nhand_weights = ["2"]\n', '"2" has no unit'),
        ("[kit]\nhand_weights = [2]\n", "put each item in quotes"),
        ("[kit]\nband = [1]\n", "must be written as [[kit.band]]"),
        ('[[kit.band]]\nname = "x"\nlength = "1.5 m"\n', "kit.band.stiffness_n is missing"),
        ("[service]\nnurse_line = 1632\n", "service.nurse_line must be text in quotes"),
        ('[walk]\nkind = "six_minute_walk"\ndistance_m = 38000\ntested_on = 2026-11-20\n', "outside 1 to 1500 m"),
        ("[tests]\nchair_stands_30s = 8.5\n", "write a whole number"),
        (
            '[[restriction]]\nkind = "sternum"\nwords = "no"\nauthor = "Nurse"\n'
            "start = 2026-11-02\nreview = 2026-11-01\n",
            "is before its start",
        ),
    ],
)
def test_a_fault_is_one_sentence_that_says_what_would_be_right(addition: str, told: str) -> None:
    found = faults(SHORT + addition)
    assert len(found) == 1, found
    assert told in found[0]
    assert "\n" not in found[0]


def test_the_second_event_keeps_its_own_line() -> None:
    found = faults(SHORT + '[[event]]\nkind = "mi"\n\n[[event]]\nkind = "pc"\n')
    assert found[0].startswith("morag.toml, line 10: ")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "format is missing"),
        ('format = "haleward-person/2"\n', 'this program reads "haleward-person/1"'),
        ("format = 1\n", "format is 1; it must be text in quotes"),
        (SHORT.replace("2026-11-20", '"20/11/26"'), "not a full date"),
        (SHORT.replace('"Morag"', '"  "'), "person.first_name is empty"),
    ],
)
def test_a_file_without_its_first_lines_says_so(text: str, told: str) -> None:
    assert any(told in fault for fault in faults(text))


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('format = "x\n', 1),
        (SHORT + "height 172\n", 6),
        (SHORT + "[kit\n", 6),
        (SHORT + 'goal = """open\n', 6),
        ("a = 1\na = 2", 2),
    ],
)
def test_a_syntax_error_names_its_line(text: str, line: int) -> None:
    (found,) = faults(text)
    assert found.startswith(f"morag.toml, line {line}: this line cannot be read as TOML")


def test_a_number_of_any_length_is_one_sentence() -> None:
    assert "is outside" in faults(SHORT + f"[answers]\nlvef_pct = 1{'0' * 400}\n")[0]
    assert "too many digits" in faults(SHORT + f"[answers]\nlvef_pct = 1{'0' * 5000}\n")[0]
    assert "is outside" in faults(SHORT + "[answers]\nlvef_pct = nan\n")[0]


def test_a_file_that_is_not_utf_8_names_the_line(tmp_path: Path) -> None:
    path = tmp_path / "old.toml"
    path.write_bytes(SHORT.encode() + b'last_name = "M\xfcller"\n')
    with pytest.raises(FileFault, match=r"old\.toml, line 6: letters cannot be read"):
        read_person_file(path, today=TODAY)


def test_windows_line_ends_and_a_byte_order_mark_are_read(tmp_path: Path) -> None:
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SHORT.replace("\n", "\r\n").encode())
    assert read_person_file(path, today=TODAY).record.first_name == "Morag"


@given(st.text(alphabet="abk=[]{}\"'#\n .,1-", max_size=60))
def test_no_file_gives_anything_but_a_person_or_sentences(text: str) -> None:
    with suppress(FileFault):
        read(text)


_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-10, 10**6) | st.floats() | st.text(max_size=8) | st.dates(),
    lambda inner: (
        st.lists(inner, max_size=2) | st.dictionaries(st.sampled_from(["kind", "name", "x"]), inner, max_size=2)
    ),
    max_leaves=4,
)


@given(
    st.sampled_from(["person", "event", "medicine", "kit", "answers", "service", "walk", "goal", "device", "plan"]),
    st.sampled_from(["kind", "name", "height", "born", "bottles", "band", "lvef_pct", "exercise_days", "words"]),
    _VALUES,
)
def test_no_value_of_any_type_breaks_the_reader(section: str, key: str, value: object) -> None:
    with suppress(FileFault):
        read(f"{SHORT}[x.{section}]\n")
    with suppress(FileFault):
        read(SHORT.replace("[person]", f"{section}.{key} = {toml(value)}\n[person]"))


def toml(value: object) -> str:
    """A value as TOML, near enough for a test; what TOML lacks becomes text."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {toml(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float | date):
        return str(value)
    return "'" + "".join(c for c in str(value) if c.isprintable() and c != "'") + "'"
