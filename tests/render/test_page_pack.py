"""What is folded for the page is unfolded as it was; the browser's half is tested in tests/browser."""

from hypothesis import given
from hypothesis import strategies as st

from haleward.render.page_pack import pack, unpack

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**9), 10**9) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=20,
)


@given(VALUES)
def test_what_was_folded_comes_back_as_it_was(value):
    assert unpack(pack(value)) == value


def test_it_folds_small_what_repeats():
    value = [{"path": "M0 0l10 20", "fill": n % 3} for n in range(2000)]
    assert len(pack(value)) < 1500


def test_the_same_value_gives_the_same_text():
    assert pack({"a": [1, 2]}) == pack({"a": [1, 2]})
