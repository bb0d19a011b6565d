"""The content rules of print, measured in the made booklets: type, lines, pictures, tables, tags and contrast."""

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

import haleward.render
from haleward.dose.model import Load
from haleward.movement.library import default_library
from haleward.render import booklet_movement
from haleward.render.booklet import booklet_pdf
from haleward.render.booklet_codes import Links
from haleward.render.class_card import class_card_pdf
from haleward.safety.protocol import default_protocol
from haleward.session.compile import compile_session
from haleward.wording import default_wording
from tests.render.printed import printed
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme
from tests.wording.reading import grade
from tests.wording.test_wording_rules import listed

TOLD = {"protocol": default_protocol(), "library": default_library(), "wording": default_wording()}
BAND = Load("band", band="light long band", hold_length_m=0.83, peak_n=20.0)
FILLED = Load("bottle", mass_kg=0.75, fill_ml=750)
LONGEST = (  # the most words that a movement brings, by kit
    exercise("band_row", load=BAND, each_side=True),
    exercise("side_leg_raise", "standing", load=BAND, each_side=True),
    exercise("shoulder_rotation_out", load=BAND, each_side=True),
    exercise("box_to_shelf", "standing", load=FILLED, each_side=True),
    exercise("step_up", "standing", load=FILLED, each_side=True),
    exercise("tandem_stance", "hand_supported", each_side=True, repetitions=1, hold_s=10.0),
)
USUAL = (
    exercise("biceps_curl", load=Load("hand_weight", mass_kg=1.5)),
    exercise("wall_press", "standing", out_s=3.0, back_s=2.0),
    exercise("sit_to_stand", "standing"),
)
LINKS = Links("https://heart.example/me/abc:1/", "https://heart.example/me/abc:1/film/one/")
TEMPLATES = Path(haleward.render.__file__).parent
BLANK_PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 430 480" width="430" height="480">'
    '<path d="M0 0h430v480z" fill="#D9480F"/></svg>'
)
SMALLEST_PT = {"standard": 14, "large": 18, "card": 12}
LONGEST_LINE = 70
LINE_PITCH = 1.5  # of the type size
CONTRAST_AIMED_AT = 7.0


def make(exercises, *, card=False, large_print=False, links=LINKS):
    plan = programme(*exercises)
    sheet = compile_session(plan, "one", PLAIN, service=SERVICE, made_on=TODAY, **TOLD)
    told = {"record": PLAIN, "service": SERVICE, **TOLD}
    if card:
        return sheet, printed(class_card_pdf(sheet, **told))
    return sheet, printed(booklet_pdf(sheet, programme=plan, links=links, large_print=large_print, **told))


@pytest.fixture(scope="module")
def made():
    """Each print of three usual movements and of the six with the most words; the latter without their drawings."""
    with pytest.MonkeyPatch.context() as patch:
        prints = {("standard", "usual"): make(USUAL), ("large", "usual"): make(USUAL, large_print=True)}
        patch.setattr(booklet_movement, "still", lambda *_, **__: BLANK_PICTURE)
        prints |= {
            ("standard", "longest"): make(LONGEST),
            ("large", "longest"): make(LONGEST, large_print=True),
            ("card", "longest"): make(LONGEST, card=True),
        }
    return prints


@pytest.fixture(
    params=[("standard", "usual"), ("standard", "longest"), ("large", "usual"), ("large", "longest")], ids="-".join
)
def book(made, request):
    """One booklet with its sheet and its kind."""
    return request.param[0], *made[request.param]


@pytest.fixture(params=[("standard", "usual"), ("large", "longest"), ("card", "longest")], ids="-".join)
def anything(made, request):
    """One print of each kind."""
    return request.param[0], *made[request.param]


def movement_pages(sheet, pdf):
    """The pages of every movement, in order."""
    starts = [
        next(n for n in range(len(pdf.pages)) if pdf.text(n).startswith(f"{i}. {each.title}"))
        for i, each in enumerate(sheet.exercises, 1)
    ]
    end = next(n for n in range(len(pdf.pages)) if pdf.text(n).startswith("Slow down Slow down for"))
    return [list(range(first, last)) for first, last in pairwise([*starts, end])]


def body_lines(pdf, page):
    """The lines above the foot, from the top."""
    foot = max(
        line.baseline
        for line in pdf.pages[page]
        if line.text == "Call 999 now if you feel very ill." and (page or line.baseline < 400)
    )
    return [line for line in pdf.pages[page] if line.baseline > foot + 1]


# Type, lines and columns


def test_no_letter_is_smaller_than_the_print_promises(anything):
    kind, _, pdf = anything
    assert min(line.size_pt for page in pdf.pages for line in page) >= SMALLEST_PT[kind]


def test_one_upright_typeface_and_nothing_leaning_underlined_or_set_in_capitals(anything):
    _, _, pdf = anything
    assert pdf.fonts == {"AtkinsonHyperlegible-Regular", "AtkinsonHyperlegible-Bold"}
    assert not re.search(r"\b[A-Z]{2,}\b", pdf.whole_text)


def test_the_templates_lean_underline_stretch_and_shout_nothing():
    for name in ("booklet.typ", "class_card.typ"):
        source = (TEMPLATES / name).read_text(encoding="utf-8")
        assert not re.search(r"\b(underline|emph|upper|smallcaps|justify|strike|overline|oblique|italic)\b", source)


def test_no_line_is_longer_than_seventy_characters(book):
    _, _, pdf = book
    lines = [line.text.removeprefix("• ") for page in range(len(pdf.pages)) for line in body_lines(pdf, page)]
    assert [line for line in lines if len(line) > LONGEST_LINE] == []


def test_running_text_has_a_line_and_a_half_from_foot_to_foot(book):
    kind, _, pdf = book
    size = SMALLEST_PT[kind]
    gaps = [
        gap
        for page in range(len(pdf.pages))
        if "Starts on" not in pdf.text(page)
        for gap in pitches(body_lines(pdf, page), size)
    ]
    assert len(gaps) > 80
    assert min(gaps) >= LINE_PITCH * size - 0.3


def test_foot_log_and_card_are_excepted_and_stay_readable(made):
    excepted = {row["place"] for row in listed("exceptions") if row["rule"] == "line spacing"}
    assert excepted == {"print/foot", "print/log", "print/card"}
    booklet, card = made["standard", "longest"][1], made["card", "longest"][1]
    foot = [line for line in booklet.pages[0] if line not in body_lines(booklet, 0)]
    assert min(pitches(foot, 14)) >= 1.15 * 14
    assert min(gap for page in card.pages for gap in pitches(page, page[-1].size_pt)) >= 1.15 * SMALLEST_PT["card"]


def pitches(lines, size):
    """From the foot of each line of this size to the next below it."""
    running = [line for line in lines if abs(line.size_pt - size) < 0.1]
    below = [(one, other) for one, other in pairwise(running) if one.left < other.right and other.left < one.right]
    return [gap for gap in (one.baseline - other.baseline for one, other in below) if gap > 1]


def test_lines_begin_at_the_left_and_end_where_they_end(book):
    _, _, pdf = book
    page = next(n for n in range(len(pdf.pages)) if "Will it harm me?" in pdf.text(n))
    lines = [line for line in body_lines(pdf, page) if line.left < 70]
    assert len({round(line.right) for line in lines}) > 6


def test_page_numbers_stand_in_the_same_place(book):
    _, _, pdf = book
    places = set()
    for number, page in enumerate(pdf.pages, 1):
        (line,) = [line for line in page if line.text == f"Page {number} of {len(pdf.pages)}"]
        places.add((round(line.right), round(line.baseline)))
    assert len(places) == 1


def test_nothing_is_printed_over_the_foot_or_off_the_page(book):
    _, _, pdf = book
    for number, page in enumerate(pdf.pages):
        assert all(line.left > 28 and line.right < 567 and 14 < line.baseline < 828 for line in page)
        assert len(pdf.pages[number]) - len(body_lines(pdf, number)) in (9, 10, 15, 16, 17, 18, 19, 20)


# What every page has


def test_every_page_has_emergency_line_stop_list_version_and_date(book):
    _, _, pdf = book
    stop = TOLD["wording"].safety("stop if", values={**SERVICE.values, "hr_ceiling": "118"})
    for page in range(len(pdf.pages)):
        text = pdf.text(page)
        assert "Call 999 now if you feel very ill." in text
        assert all(line.text in text for line in stop[1:] if line.level == "emergency")
        assert "This is plan 3, made on 3 February 2026." in text


def test_the_first_page_says_first_whom_to_call_and_then_what_to_do(book):
    _, _, pdf = book
    text = pdf.text(0)
    assert text.startswith("Call 999 now if you feel very ill. Your exercise plan")
    assert text.index("If you feel unwell") < text.index("Call 999 now if the pain is heavy or spreads.")


def test_no_page_is_nearly_empty(book):
    _, _, pdf = book
    assert min(len(body_lines(pdf, page)) for page in range(len(pdf.pages))) >= 4


# Movements


def test_a_movement_has_its_page_or_two_in_large_print(book):
    kind, sheet, pdf = book
    lengths = [len(pages) for pages in movement_pages(sheet, pdf)]
    assert max(lengths) <= (2 if kind == "large" else 1)


def test_a_movement_is_never_without_its_pictures_nor_a_picture_without_its_words(book):
    _, sheet, pdf = book
    figures = [tag for tag in pdf.tags if tag.kind == "Figure"]
    for each, pages in zip(sheet.exercises, movement_pages(sheet, pdf), strict=True):
        for page in pages:
            told = [tag.alternative for tag in figures if tag.page == page]
            assert [words.removesuffix(" The position is held.") for words in told] == [each.alt_start, each.alt_end]
            text = pdf.text(page)
            assert "Start" in text
            assert ("Hold" if each.hold_s else "Move") in text
            assert each.stop_if in text
            assert each.title in text


def test_a_movement_has_at_most_four_numbered_lines_its_dose_easier_and_stop(book):
    _, sheet, pdf = book
    for each, pages in zip(sheet.exercises, movement_pages(sheet, pdf), strict=True):
        text = " ".join(pdf.text(page) for page in pages)
        assert 2 <= len(re.findall(r"(?<= )[1-9]\. ", text.replace(f". {each.title}", ""))) <= 4
        for words in (each.dose_text, each.breathing, each.easier, each.band_setup, *each.setup):
            assert words in text
        assert each.load_text.lower() in text.lower()
        assert not each.hold_s or "Count slowly to 10 as you hold." in text


def test_every_movement_reads_at_the_age_of_eleven_or_below(made):
    sheet, pdf = made["standard", "longest"]
    for pages in movement_pages(sheet, pdf):
        text = " ".join(line.text for line in body_lines(pdf, pages[0]))
        assert grade(text.replace(" Breathe:", ". Breathe:").replace("Start Move", "Start. Move.")) <= 6


def test_large_print_is_set_anew_with_every_word_of_the_standard_print(made):
    standard, large = made["standard", "longest"][1], made["large", "longest"][1]
    of_large = re.sub(r"\s+", " ", large.whole_text)
    lines = [
        line
        for line in TOLD["wording"].safety(
            "do not start today if", values={**TOLD["protocol"].wording_values, **SERVICE.values}
        )
    ]
    assert all(line.text in of_large for line in lines)
    for each in made["standard", "longest"][0].exercises:
        assert all(
            words in of_large
            for words in (each.purpose, each.breathing, each.easier, each.kit_line, each.band_setup, *each.setup)
        )
    assert len(large.pages) > len(standard.pages)
    assert {tuple(map(round, page.mediabox[2:])) for page in large.reader.pages} == {(595, 842)}


def test_warm_up_and_cool_down_have_their_minutes_pictures_and_words(book):
    _, sheet, pdf = book
    starts = [page for page in range(len(pdf.pages)) if pdf.text(page).startswith(("Warm-up ", "Slow down Slow down"))]
    assert len(starts) == 2
    ends = (
        movement_pages(sheet, pdf)[0][0],
        next(n for n in range(len(pdf.pages)) if pdf.text(n).startswith("Your log")),
    )
    figures = [tag for tag in pdf.tags if tag.kind == "Figure"]
    for stage, first, end in zip(("warm_up", "cool_down"), starts, ends, strict=True):
        text = " ".join(pdf.text(page) for page in range(first, end))
        framed = [sheet.frame[block.frame] for block in sheet.blocks if block.kind == stage]
        assert len(framed) >= 3
        for each in framed:
            assert f"{each.title}: {each.dose_text}" in text
            assert all(words in text for words in (*each.setup, each.breathing, each.easier, each.stop_if))
        assert sum(first <= tag.page < end for tag in figures if tag.page is not None) == 2 * len(framed)


def test_what_was_agreed_for_one_person_is_printed_for_that_person_alone(made):
    sheet, usual = made["standard", "usual"]
    told = {"record": PLAIN, "service": SERVICE, **TOLD}
    agreed = replace(
        sheet, low_vision=True, exercises=tuple(replace(one, harder_agreed=True) for one in sheet.exercises)
    )
    pdf = printed(booklet_pdf(agreed, **told))
    for one in sheet.exercises:
        assert f"To make it harder: {one.harder}" in pdf.whole_text
        assert one.low_vision in pdf.whole_text
        assert one.low_vision not in usual.whole_text
    assert "To make it harder" not in usual.whole_text


# Week, log and codes


def test_the_week_shows_every_day_and_what_is_done_on_it(book):
    _, _, pdf = book
    page = next(n for n in range(len(pdf.pages)) if pdf.text(n).startswith("Your week"))
    text = pdf.text(page)
    assert "Monday Part one, in this booklet Tuesday 2 walks of 10 minutes Wednesday Rest day" in text
    assert "Sunday Rest day" in text


def test_the_log_has_four_weeks_of_the_persons_own_days_and_says_how_to_fill_it(book):
    _, _, pdf = book
    first = next(n for n in range(len(pdf.pages)) if pdf.text(n).startswith("Your log"))
    text = " ".join(pdf.text(page) for page in range(first, len(pdf.pages)))
    assert "A blank box means not done, or not known." in text
    for week in range(1, 5):
        assert f"Week {week} Starts on" in text
    assert len(re.findall(r"Monday:? Part one", text)) == 4
    assert len(re.findall(r"Tuesday:? 2 walks of 10 minutes", text)) == 4
    assert text.count("Other day") == 4


def test_a_week_of_the_log_is_never_split_over_two_pages(book):
    _, _, pdf = book
    weeks = [pdf.text(n) for n in range(len(pdf.pages)) if "Starts on" in pdf.text(n)]
    assert all(text.count("Starts on") == text.count("Other day") for text in weeks)


def test_the_codes_have_words_and_without_a_link_the_text_says_how_to_ask(made):
    _, with_codes = made["standard", "usual"]
    alternatives = [tag.alternative for tag in with_codes.tags]
    assert "A square code. It opens your session page." in alternatives
    assert "A square code. It opens your film." in alternatives
    assert "Keep these codes to yourself." in with_codes.whole_text
    _, without = make(USUAL[:1], links=Links())
    assert "A square code" not in " ".join(tag.alternative for tag in without.tags)
    assert "Ask your team if you would like this plan on a phone or tablet." in without.whole_text
    assert "Ask your team if you would like a film of this session." in without.whole_text


# Tags: what a screen reader needs (PDF/UA-1, ISO 14289-1)


def test_language_title_and_tags_are_declared(anything):
    _, _, pdf = anything
    root = pdf.reader.trailer["/Root"]
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert "pdfuaid" in root["/Metadata"].get_object().get_data().decode()
    assert pdf.reader.metadata.title


def test_headings_start_at_the_top_and_skip_no_level(anything):
    _, _, pdf = anything
    levels = [int(tag.kind[1]) for tag in pdf.tags if re.fullmatch(r"H\d", tag.kind)]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_every_figure_has_words_and_every_table_its_heads(anything):
    _, _, pdf = anything
    assert all(tag.alternative for tag in pdf.tags if tag.kind == "Figure")
    tables = sum(tag.kind == "Table" for tag in pdf.tags)
    heads = sum(tag.kind == "THead" for tag in pdf.tags)
    assert tables == heads
    assert not tables or any(tag.kind == "TH" for tag in pdf.tags)


# Colour


def test_every_colour_of_the_templates_reads_on_its_ground():
    for name in ("booklet.typ", "class_card.typ"):
        source = (TEMPLATES / name).read_text(encoding="utf-8")
        colours = dict(re.findall(r'#let (\w+) = rgb\("(#[0-9a-f]{6})"\)', source))
        assert set(colours) == {"ink", "teal", "orange"}
        for colour in colours.values():
            assert contrast(colour, "#ffffff") >= CONTRAST_AIMED_AT
        grounds = [mixed(colours[named], int(share) / 100) for named, share in (("teal", 90), ("orange", 90))]
        assert all(contrast(colours["ink"], ground) >= CONTRAST_AIMED_AT for ground in grounds)


def mixed(colour, white):
    """The colour with a share of white."""
    parts = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return "#" + "".join(f"{round(part + (255 - part) * white):02x}" for part in parts)


def contrast(one, other):
    """Contrast ratio of two colours (W3C WCAG 2.2, 1.4.3)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour):
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_contrast_is_measured_as_published():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)
