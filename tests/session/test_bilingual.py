"""A session in another language: times and speech stay those of the English, every text that is shown is translated."""

from dataclasses import replace

import pytest

from haleward.movement.library import default_library
from haleward.render.captions import web_vtt
from haleward.safety.protocol import default_protocol
from haleward.session.bilingual import NotAllTranslated, compile_in_language, shown_sheet
from haleward.session.compile import compile_session
from haleward.session.options import SessionOptions
from haleward.wording import default_wording
from tests.languages.whole import whole_catalogue
from tests.session.people import PEOPLE, PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme

WORDING = default_wording()
PLAN = programme(exercise(sets=2), exercise("heel_raise", "standing", sets=1))
AROUND = {"protocol": default_protocol(), "library": default_library(), "service": SERVICE, "made_on": TODAY}


def filled(tag, *, without=""):
    return whole_catalogue(tag, *SERVICE.values.values(), without=without)


def both(record=PLAIN, *, tag="ar", **options):
    more = AROUND | {"options": SessionOptions(**options)}
    english = compile_session(PLAN, "one", record, wording=WORDING, **more)
    return english, compile_in_language(PLAN, "one", record, wording=WORDING, catalogue=filled(tag), **more)


@pytest.mark.parametrize("tag", ["ar", "de"])
def test_only_language_and_translation_differ_from_the_english_sheet(tag):
    english, other = both(tag=tag)
    assert replace(other, language=english.language, translation=()) == english
    assert other.language == tag


@pytest.mark.parametrize("record", PEOPLE)
@pytest.mark.parametrize("options", [{}, {"low_vision": True, "talk": "more"}, {"listener": "carer"}])
def test_every_text_that_is_shown_has_its_translation(record, options):
    _, other = both(record, **options)
    shown = shown_sheet(other)
    texts = [text for block in shown.blocks for text in (block.title, *block.lines, *(cue.text for cue in block.cues))]
    texts += [text for one in (*shown.exercises, *shown.frame) for text in (one.title, one.dose_text, one.easier)]
    assert set(texts) - {""} <= set(dict(other.translation).values())


def test_shown_times_are_those_of_the_spoken_words():
    english, other = both()
    times = [[(cue.start_ms, cue.length_ms) for cue in block.cues] for block in shown_sheet(other).blocks]
    assert times == [[(cue.start_ms, cue.length_ms) for cue in block.cues] for block in english.blocks]


@pytest.mark.parametrize("missing", [WORDING.template(key) for key in ("start_3", "effort_heading", "plan_version")])
def test_one_missing_text_refuses_the_whole_session(missing):
    with pytest.raises(NotAllTranslated) as refused:
        compile_in_language(PLAN, "one", PLAIN, wording=WORDING, catalogue=filled("ar", without=missing), **AROUND)
    assert missing in refused.value.texts


def test_captions_beside_a_film_are_in_the_language_at_the_spoken_times():
    english, other = both()
    told, spoken = web_vtt(other).splitlines(), web_vtt(english).splitlines()
    assert [line for line in told if "-->" in line] == [line for line in spoken if "-->" in line]
    assert {line for line in told[1:] if line and "-->" not in line} <= set(dict(other.translation).values())
