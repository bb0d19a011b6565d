"""Whatever is written in a protocol file, reading it gives a protocol or sentences about its faults, nothing else."""

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from haleward.errors import FileFault
from haleward.safety.analysis import Finding, findings
from haleward.safety.analysis.space import Space
from haleward.safety.protocol import DEFAULT_FILE, Protocol, read_protocol

TEXT = DEFAULT_FILE.read_text(encoding="utf-8")
LINES = TEXT.splitlines(keepends=True)
VALUES = [found.span(1) for found in re.finditer(r'= ("[^"\n]*"|\d[\d.]*|true|false|\[\]|\{[^\n]*\})', TEXT)]
ODD = [
    "nan",
    "-inf",
    "1e400",
    "9" * 400,
    "[]",
    "[[]]",
    "{}",
    "{input = []}",
    "[{input = {}}]",
    '""',
    '"\\u0000"',
    "true",
]
ODD += ["-1", "0", "1979-05-27", "07:32:00", "{all = []}", "{not = {not = 1}}", '["S00", 1]', "[[1]]", '"{open"', "'''"]
SPACE = Space()


def outcome(text):
    """The protocol, or the sentences about its faults."""
    try:
        return read_protocol(text, name="own.toml")
    except FileFault as fault:
        return fault.faults


def in_order(found):
    """Whether it is a protocol, or at least one sentence, each with the name of the file."""
    return isinstance(found, Protocol) or (bool(found) and all(one.startswith("own.toml") for one in found))


@settings(max_examples=15, deadline=None)
@given(at=st.integers(0, len(TEXT)), length=st.integers(0, 80), put=st.text(max_size=20))
def test_a_file_with_any_piece_replaced_is_read_or_has_faults(at, length, put):
    assert in_order(outcome(TEXT[:at] + put + TEXT[at + length :]))


@settings(max_examples=30, deadline=None)
@given(span=st.sampled_from(VALUES), put=st.sampled_from(ODD))
def test_a_file_with_any_value_replaced_by_an_odd_one_is_read_or_has_faults(span, put):
    assert in_order(outcome(TEXT[: span[0]] + put + TEXT[span[1] :]))


@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_a_file_with_lines_moved_or_lost_is_read_or_has_faults(data):
    lines = list(LINES)
    one = data.draw(st.integers(0, len(lines) - 1))
    moved = lines.pop(one)
    if data.draw(st.booleans()):
        lines.insert(data.draw(st.integers(0, len(lines))), moved)
    assert in_order(outcome("".join(lines)))


@settings(max_examples=30, deadline=None)
@given(text=st.text(max_size=200))
def test_any_text_at_all_is_read_or_has_faults(text):
    found = outcome(text)
    assert not isinstance(found, Protocol)  # no short text is a whole one
    assert in_order(found)


@settings(max_examples=8, deadline=None)
@given(
    span=st.sampled_from(VALUES), put=st.sampled_from(['"x"', "0", "1", "-3", "1000.5", "true", "false", "[]", '"UK"'])
)
def test_whatever_can_be_read_can_be_analysed(span, put):
    found = outcome(TEXT[: span[0]] + put + TEXT[span[1] :])
    if isinstance(found, Protocol):
        assert all(isinstance(one, Finding) and one.sentence for one in findings(found, space=SPACE))


def test_a_condition_nested_without_end_is_a_fault():
    for depth in (15, 60, 2000):
        nested = "{not = " * depth + '{input = "icd", is = true}' + "}" * depth
        text = TEXT.replace('condition = {input = "nyha", is = 4}', f"condition = {nested}")
        assert text != TEXT
        found = outcome(text)
        assert any("nested too deeply" in one or "more than 10 deep" in one for one in found), found


def test_a_condition_is_never_run_as_code():
    text = TEXT.replace('condition = {input = "nyha", is = 4}', "condition = \"__import__('os').abort()\"")
    assert text != TEXT
    assert any("must be a condition such as" in one for one in outcome(text))
