"""A protocol with one planted fault is refused with the sentence that says what is wrong and what would be right.

Each row plants one fault in a copy of the default protocol: a text, what takes its place, and parts of the sentence.
"""

import re

import pytest

from haleward.errors import FileFault
from haleward.safety.analysis import check_text
from haleward.safety.analysis.space import Space
from haleward.safety.protocol import DEFAULT_FILE

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")
FORMULAS = {*re.findall(r'_method = "(\w+)"', TEXT)}  # a planted name is not among them
SPACE = Space()
PLACE = r"own\.toml(, line [1-9]\d*)?: "


def rule(rule_id, *changes):
    """The block of a rule before and after the changes."""
    start = TEXT.index(f'[[rule]]\nid = "{rule_id}"')
    before = TEXT[start : TEXT.index("\n\n", start)]
    after = before
    for old, new in changes:
        assert old in after, old
        after = after.replace(old, new, 1)
    return before, after


def new_rule(condition, *, level="block", urgency="none", topic="do not start today if"):
    """A rule R900 of the session, put before R001."""
    block = (
        f'[[rule]]\nid = "R900"\nstage = "session"\njurisdiction = "ALL"\nlevel = "{level}"\nurgency = "{urgency}"\n'
        f'condition = {condition}\nwording = "Something was found."\nadvice = "Tell the team."\ntopic = "{topic}"\n'
        'sources = ["S00"]\ntrust = "design choice of this project"\n\n'
    )
    first = '[[rule]]\nid = "R001"'
    return first, block + first


def at_end(block):
    """A block added at the end of the file."""
    last = TEXT[-60:]
    return last, f"{last}\n{block}\n"


def refused(old, new):
    """The sentences with which the changed default is refused."""
    assert TEXT.count(old) >= 1, old
    text = TEXT.replace(old, new, 1)
    try:
        checked = check_text(text, name="own.toml", jurisdiction="UK", formulas=FORMULAS, space=SPACE)
    except FileFault as fault:
        return fault.faults
    return tuple(
        f"own.toml, line {one.line}: {one.sentence}" if one.line else f"own.toml: {one.sentence}"
        for one in checked.serious
    )


# --- what cannot be read -------------------------------------------------------------------------------------------

UNREADABLE = {
    "a quotation mark is missing": (
        ('id = "haleward-default"', 'id = "haleward-default'),
        ["cannot be read as TOML"],
    ),
    "a bracket is missing": (("\n[protocol]\n", "\n[protocol\n"), ["cannot be read as TOML"]),
    "the format is unknown": (
        ('format = "haleward-protocol/1"', 'format = "haleward-protocol/9"'),
        ["format is 'haleward-protocol/9'; it must be one of haleward-protocol/1"],
    ),
    "a limit is in the wrong unit": (
        rule("R051", ('unit = "mmol/L"', 'unit = "mg/dL"')),
        ["rule R051", 'the unit of glucose_mmol is "mmol/L", not "mg/dL"'],
    ),
    "a limit has no unit": (
        rule("R031", (', unit = "bpm"', "")),
        ["rule R031", 'the unit of hr_rest is "bpm", not ""'],
    ),
    "an input does not exist": (
        rule("R035", ("hr_rest", "hr_resting")),
        ["rule R035", 'unknown input "hr_resting"', "data/tables/inputs.csv"],
    ),
    "a number is written as text": (
        rule("R017", ("under = 40", 'under = "40"')),
        ["rule R017", "lvef_pct is compared with '40'", "must be a number"],
    ),
    "yes or no is compared as a number": (
        rule("R044", ("is = true", "over = 1")),
        ["rule R044", 'syncope_recent is not a number, so "over" cannot be asked of it'],
    ),
    "a code is not one of the input's": (
        rule("R009", ('"moderate"', '"medium"')),
        ["rule R009", "aortic_stenosis is one of none, mild, moderate, severe, not 'medium'"],
    ),
    "two rules have one id": (rule("R002", ('"R002"', '"R001"')), ["rule R001", 'id "R001" is used twice']),
    "a rule has no level": (rule("R010", ('level = "block"\n', "")), ["rule R010: level is missing", "block"]),
    "a level does not exist": (
        rule("R010", ('"block"', '"stop"')),
        ["rule R010: level is 'stop'", "one of block, clinician_decision, caution, inform"],
    ),
    "a rule has no trust": (
        rule("R003", ('\ntrust = "seen at the source"', "")),
        ["rule R003: trust is missing", "a text in quotes"],
    ),
    "a key is misspelt": (
        rule("R004", ("urgency", "urgence")),
        ['"urgence" is not a key of rule R004', 'did you mean "urgency"'],
    ),
    "a topic does not exist": (
        rule("R005", ('topic = "breathless"', 'topic = "out of breath"')),
        ["rule R005", 'there is no topic "out of breath" in safety.csv'],
    ),
    "a date is not a date": (
        ('signed_on = ""', 'signed_on = "last week"'),
        ["signed_on is 'last week'; it must be a date such as 2026-03-01"],
    ),
    "a policy is missing": (("smallest_reserve_bpm = 25\n", ""), ["intensity.smallest_reserve_bpm is missing"]),
    "a need rests on what is not needed": (
        ('  {input = "aortic_stenosis"},\n', ""),
        ["valve_symptoms is needed depending on aortic_stenosis, which must then be needed as well"],
    ),
    "needs depend on each other in a circle": (
        (
            '  {input = "chf_present"},\n',
            '  {input = "chf_present", when = {input = "nyha", at_least = 2, unit = "NYHA class"}},\n',
        ),
        ["chf_present depends on nyha depends on chf_present", "none of them would ever be asked", "need one always"],
    ),
    "a gate names a rule that is not there": (
        ('also = ["R091", "R103"]', 'also = ["R091", "R930"]'),
        ["there is no rule R930 for this jurisdiction"],
    ),
    "a setting disagrees with its rule": (
        ('name = "hr_low"\njurisdiction = "ALL"\nvalue = 40', 'name = "hr_low"\njurisdiction = "ALL"\nvalue = 45'),
        ["setting hr_low: 45 bpm is not the value in rule R035"],
    ),
    "own wording has an unknown key": (
        at_end('[[wording]]\nkey = "chest_pain_line"\ntext = "Stop."\nsource = "Local policy 4"'),
        ["wording chest_pain_line", 'there is no line "chest_pain_line" that could be worded anew'],
    ),
    "own wording has a placeholder without a value": (
        at_end('[[wording]]\nkey = "stop_all"\ntext = "Stop and ring {ward_phone}."\nsource = "Local policy 4"'),
        ["wording stop_all", "nothing gives {ward_phone} a value"],
    ),
    "a number of the service has an unknown name": (
        ('name = "pump_centre"', 'name = "pump_center"'),
        ["number pump_center", "is not a name that wording prints", "service.csv"],
    ),
    "a symptom's topic has no usual symptom": (
        ('key = "stroke_signs"\n', 'key = "stroke_signs"\n#'),
        ["symptom stroke_signs: topic is missing"],
    ),
}

# --- what can be read and must not be signed -----------------------------------------------------------------------

UNSOUND = {
    "no number is over 120 per cent": (
        rule("R017", ("under = 40", "over = 120"), ("below 40%", "over 120%")),
        ["Rule R017 can never apply", "Resting ejection fraction is over 120%", "Mend a limit or drop it"],
    ),
    "two tests exclude each other": (
        rule("R040", ("at_least = 1.8, under = 2", "at_least = 2, under = 1.8")),
        ["Rule R040 can never apply", "Mend a limit"],
    ),
    "one part can never be true": (
        new_rule(
            '{any = [{input = "hr_rest", under = 38, unit = "bpm"}, {input = "nyha", over = 4, unit = "NYHA class"}]}'
        ),
        ["Rule R900: one part can never be true", "NYHA class today is over 4", "drop that part"],
    ),
    "a condition is true whatever is known": (
        new_rule('{any = [{input = "copd", is = true}, {input = "copd", is = false}]}', level="caution"),
        ["Rule R900 asks nothing: whatever is known makes this true", "Mend it or drop it"],
    ),
    "a stricter rule makes a limit dead": (
        new_rule('{input = "hr_rest", over = 130, unit = "bpm"}'),
        ["Rule R900 is dead", "R031 fires too", "block, same day against block", "Change its limit"],
    ),
    "a caution is dead under a block": (
        new_rule('{input = "sbp_rest", over = 190, unit = "mmHg"}', level="caution", topic=""),
        ["Rule R900 is dead", "R023 fires too", "block against caution"],
    ),
    "two rules say different things of one situation": (
        new_rule('{input = "hr_rest", over = 120, unit = "bpm"}', level="caution"),
        ["Rules R900 and R031 contradict each other", "R900 says caution and R031 says block, same day", "Keep one"],
    ),
    "two rules show different topics of one situation": (
        rule("R042", ('topic = "breathless"', 'topic = "faint"')),
        ["Rules R006 and R042 contradict each other", 'different topics, "breathless" and "faint"', "same topic"],
    ),
    "a rule stands there twice": (
        new_rule('{input = "meal_hours", under = 1, unit = "h"}', level="caution", topic=""),
        ["Rules R900 and R048 say the same", "(caution)", "Keep one of them"],
    ),
    "every answer stops the session": (
        new_rule('{input = "hr_rest", at_most = 100, unit = "bpm"}'),
        ["Rules R900 and R032 contradict each other", "at least one always fires", "nobody could pass the"],
    ),
    "nobody could be at low risk": (
        (
            'criterion = "Clinical heart failure present"\ncondition = {input = "chf_present", is = true}',
            'criterion = "Clinical heart failure present"\ncondition = {input = "chf_present", is = false}',
        ),
        ["Nobody could ever be at low risk: L07 and H10 contradict each other"],
    ),
    "two bands leave a hole": (
        rule("R054", ("at_least = 5.0", "at_least = 5.2"), ("5.0 to 6.9", "5.2 to 6.9")),
        [
            "Rules R053 and R054 leave a gap",
            "blood glucose from 5 mmol/L to under 5.2 mmol/L falls in neither",
            "begin where",
        ],
    ),
    "a boundary falls in no band": (
        rule("R039", ("at_least = 2", "over = 2")),
        ["Rules R040 and R039 leave a gap", "weight gain of exactly 2 kg in 3 days falls in neither"],
    ),
    "a risk band is left out": (
        (
            'condition = {input = "lvef_pct", at_least = 40, under = 50, unit = "%"}',
            'condition = {input = "lvef_pct", at_least = 45, under = 50, unit = "%"}',
        ),
        ["Risk items H07 and M03 leave a gap", "resting ejection fraction from 40% to under 45% falls in neither"],
    ),
    "a placement band is left out": (
        ('{input = "sppb_points", at_least = 7, at_most = 9', '{input = "sppb_points", at_least = 8, at_most = 9'),
        ["Placement rules P4 and P6 leave a gap", "short physical performance battery over 6 points of 12 to under 8"],
    ),
    "two bands overlap at the boundary": (
        rule("R053", ("under = 5.0", "at_most = 5.0"), ("4.0 to 4.9", "4.0 to 5.0")),
        ["Rules R053 and R054 overlap", "blood glucose of exactly 5 mmol/L falls in both"],
    ),
    "a sentence gives another number than its condition": (
        rule("R032", ("Resting heart rate over 100.", "Resting heart rate over 110.")),
        [
            'Rule R032 says "Resting heart rate over 110."',
            "its condition compares with 100",
            "Make the sentence say 100",
        ],
    ),
    "a setting's text gives another number than its value": (
        ('value = 4.0\nunit = "mmol/L"\ntext = "4"', 'value = 4.0\nunit = "mmol/L"\ntext = "5"'),
        ["Setting sugar_low has the value 4 mmol/L", 'its text is "5"', "must say 4"],
    ),
    "an emergency leaves the session open": (
        rule("R043", ('level = "block"', 'level = "caution"')),
        ["Rule R043 contradicts itself", "an emergency cannot leave the session open", 'it must be "block"'],
    ),
    "advice stops what the level lets go ahead": (
        rule("R041", ("Possible dehydration", "No session: possible dehydration")),
        [
            "Rule R041 contradicts itself",
            'its advice begins "No session"',
            'the level "caution" lets the session go ahead',
        ],
    ),
    "a rule names no source": (
        rule("R020", ('sources = ["S00"]', "sources = []")),
        ["Rule R020 names no source", "Name one of the list of sources, or your own local policy"],
    ),
    "a rule does not say how far its source was checked": (
        rule("R020", ('trust = "common practice, no source"', 'trust = ""')),
        ["Rule R020 does not say how far its source was checked"],
    ),
    "a source is not in the table": (
        rule("R020", ('sources = ["S00"]', 'sources = ["S999"]')),
        ["Rule R020 names the source S999, which the list of sources does not have"],
    ),
    "own wording names no source": (
        at_end('[[wording]]\nkey = "stop_all"\ntext = "Stop now and sit down."\nsource = ""'),
        ['The wording "stop_all" names no source'],
    ),
    "wording prints a number that nothing gives": (
        ('name = "meal_wait"', 'name = "meal_gap"'),
        ["Nothing gives {meal_wait} a value", "Add a [[setting]] or [[number]] of that name"],
    ),
    "there is no emergency number": (
        ('text = "999"', 'text = ""'),
        ["The emergency number is empty", "Write it, e.g. 999, 911 or 112"],
    ),
    "effort runs from high to low": (
        ("effort_low = 2\neffort_high = 4", "effort_low = 5\neffort_high = 4"),
        [
            "Effort from (intensity.effort_low) is 5 and effort to (intensity.effort_high) is 4",
            "must be under the second",
        ],
    ),
    "effort is off its scale": (
        ("effort_low = 3\neffort_high = 5", "effort_low = 3\neffort_high = 14"),
        ["(dose.effort_high) is 14; it must be from 0 to 10 on the effort scale 0 to 10"],
    ),
    "a share of reserve is a percentage": (
        ("reserve_fraction_high = 0.70", "reserve_fraction_high = 70"),
        ["the heart-rate range would run from 0.4 to 70 of the reserve", "each from 0 to 1"],
    ),
    "a step is larger than its room": (
        ("repetition_step = 2", "repetition_step = 9"),
        ["(progression.repetition_step) is 9, but the repetitions of a dose leave room for 7; make the step smaller"],
    ),
    "the device margin is smaller than the stop rule's": (
        ("device_margin_bpm = 20", "device_margin_bpm = 5"),
        ["(intensity.device_margin_bpm) is 5, but rule R086 stops the session 10 beats below", "must be at least 10"],
    ),
    "a medicine class does not exist": (
        ('epoch_medicines = ["beta_blocker"', 'epoch_medicines = ["betablocker"'),
        ['(intensity.epoch_medicines) names "betablocker", which is not one of beta_blocker'],
    ),
    "a formula does not exist": (
        ('maximum_method = "maximum_bpm_inbar_1994"', 'maximum_method = "maximum_bpm_inbar"'),
        ['(intensity.maximum_method) is "maximum_bpm_inbar", which is not a formula', "haleward calc --list"],
    ),
    "gaps run backwards": (
        ("gap_step_back_days = 14", "gap_step_back_days = 30"),
        ["(progression.gap_reassess_days) is 28; the first must be under the second"],
    ),
    "a dose rule is not there": (
        ('sternum_rule = "R090"', 'sternum_rule = "R290"'),
        ["(dose.sternum_rule) names R290, but there is no such rule for this jurisdiction"],
    ),
    "the rule on short bouts is not there": (
        ('short_bouts_rule = "R113"', 'short_bouts_rule = "R313"'),
        ["(dose.short_bouts_rule) names R313, but there is no such rule for this jurisdiction"],
    ),
    "the rule on frailty is not there": (
        ('frail_rule = "R112"', 'frail_rule = "R312"'),
        ["(dose.frail_rule) names R312, but there is no such rule for this jurisdiction"],
    ),
    "the rule on a weak heart is not there": (
        ('weak_heart_rule = "R113"', 'weak_heart_rule = "R313"'),
        ["(dose.weak_heart_rule) names R313, but there is no such rule for this jurisdiction"],
    ),
    "frail people start with more than others": (
        ("frail_movements_most = 2", "frail_movements_most = 4"),
        ["(dose.frail_movements_most) is 4", "(dose.new_movements_most) is 3; the first must not be over the second"],
    ),
    "a frail person's bout is longer than the walk": (
        ("frail_walking_bout_minutes = 1", "frail_walking_bout_minutes = 6"),
        ["(dose.frail_walking_bout_minutes) is 6", "(dose.frail_walking_minutes) is 5; the first must not be over"],
    ),
    "a frail person's region is none": (
        ('frail_regions = ["stand_up", "balance"', 'frail_regions = ["stand_up", "balanse"'),
        ['(dose.frail_regions) names "balanse", which is not among the regions a programme needs'],
    ),
    "a weak heart works harder than others": (
        ("weak_heart_effort_high = 4", "weak_heart_effort_high = 6"),
        ["(dose.weak_heart_effort_high) is 6", "(dose.effort_high) is 5; the first must not be over the second"],
    ),
    "the warm-up of a weak heart has no end": (
        ("weak_heart_warm_up_more_minutes = 5", "weak_heart_warm_up_more_minutes = 90"),
        ["(dose.weak_heart_warm_up_more_minutes) is 90; it must be from 0 to 30"],
    ),
    "an answer has no words as a reason against heart rate": (
        ('not_usable_facts = ["autonomic_neuropathy"]', 'not_usable_facts = ["neuropathy_foot"]'),
        ['(intensity.not_usable_facts) names "neuropathy_foot", which is not one of autonomic_neuropathy'],
    ),
    "a need can never arise": (
        (
            '[{input = "insulin_or_su", is = true}, {input = "glucose_mmol", over = 15.0, unit = "mmol/L"}]}},',
            '[{input = "insulin_or_su", is = true}, {input = "glucose_mmol", over = 150, unit = "mmol/L"}]}},',
        ),
        ["The need of ketones_mmol at the hall gate can never apply", "Mend a limit"],
    ),
    "a need stands there twice": (
        ('  {input = "phone_available"},\n', '  {input = "phone_available"},\n  {input = "phone_available"},\n'),
        ["The home gate needs phone_available 2 times", "Write it once"],
    ),
    "a rule reads what nobody asks": (
        new_rule(
            '{input = "copd", is = true}'.replace("copd", "palpitations_with_faint_or_pain"), level="clinician_decision"
        ),
        ["Rule R900 reads palpitations_with_faint_or_pain", "no question, need or assessment asks for"],
    ),
    "a need at home has no question": (
        ('  {input = "phone_available"},\n', '  {input = "phone_available"},\n  {input = "spo2_rest"},\n'),
        ["The home gate needs spo2_rest, but no question asks for it at home", "Add a [[check]]"],
    ),
    "both answers mean the same": (
        ("answers_no = {acute_illness = true}", "answers_no = {acute_illness = false}"),
        ["Question check_well sets acute_illness to false whether the answer is yes or no"],
    ),
    "a symptom is milder than its rule": (
        ('label = "I passed out"\nlevel = "emergency"', 'label = "I passed out"\nlevel = "next_working_day"'),
        ["Symptom fainted is seen next working day, but its rule R044 says same day", "at least as urgent"],
    ),
    "a symptom stands there twice": (
        ('label = "I had a fall"', 'label = "I passed out"'),
        ["Symptoms fainted and fall_unhurt are the same words", "at emergency and next working day", "Keep one"],
    ),
    "what nobody has judged could wait": (
        ('unknown_level = "same_day"', 'unknown_level = "self_care"'),
        ["concerns.unknown_level is self care", "It must be same_day or emergency"],
    ),
    "it is signed and nobody is named": (
        ('signed_on = ""', "signed_on = 2026-03-01"),
        ["signed on 2026-03-01 but names nobody", "Write the clinical lead in signed_by"],
    ),
    "it is signed and not dated": (
        ('signed_by = ""', 'signed_by = "A clinical lead"'),
        ["signed by A clinical lead but not dated", "Write the day in signed_on"],
    ),
    "the review is due before the signature": (
        ('signed_by = ""\nsigned_on = ""', 'signed_by = "A clinical lead"\nsigned_on = 2027-03-01'),
        ["review is due on 2027-02-01, which is not after the signature of 2027-03-01", "later day"],
    ),
}


@pytest.mark.parametrize("fault", UNREADABLE)
def test_a_protocol_that_cannot_be_read_is_refused_with_the_right_sentence(fault):
    change, said = UNREADABLE[fault]
    told = refused(*change)
    right = [sentence for sentence in told if all(part in sentence for part in said)]
    assert right, told
    assert all(re.match(PLACE, sentence) for sentence in right)


@pytest.mark.parametrize("fault", UNSOUND)
def test_a_protocol_that_must_not_be_signed_is_refused_with_the_right_sentence(fault):
    change, said = UNSOUND[fault]
    told = refused(*change)
    right = [sentence for sentence in told if all(part in sentence for part in said)]
    assert right, told
    assert all(re.match(PLACE, sentence) for sentence in right)


def test_the_default_without_a_planted_fault_is_not_refused():
    assert refused("[protocol]", "[protocol]") == ()
