"""``haleward calc``: lists every formula, computes one with its error, and answers every slip with a sentence."""

from __future__ import annotations

import json
from typing import Any

import pytest

from haleward.cli import main
from haleward.formula import REGISTRY, Range


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(("calc", *words))
    out, err = capsys.readouterr()
    return status, out, err


def computed(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    status, out, _err = run(capsys, *words, "--json")
    assert status == 0
    found: dict[str, Any] = json.loads(out)
    return found


def test_it_works(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "maximum_bpm_inbar_1994", "age_y=60")
    assert (status, err) == (0, "")
    assert out.splitlines()[0] == "Predicted maximal heart rate (Inbar 1994): about 165 bpm, likely 158 to 171"


def test_json_is_flat_with_value_unit_range_source_steps_and_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    found = computed(capsys, "maximum_bpm_inbar_1994", "age_y=75")
    assert (found["name"], found["unit"]) == ("maximum_bpm_inbar_1994", "bpm")
    assert found["value"] == pytest.approx(205.8 - 0.685 * 75)
    assert (found["low"], found["high"]) == pytest.approx((found["value"] - 6.4, found["value"] + 6.4))
    assert "Inbar et al. 1994" in found["source"]
    assert found["trust"] == "seen second-hand"
    assert found["steps"][0]["result"] == found["value"]
    assert any("extrapolated" in caution for caution in found["cautions"])


def test_a_result_without_a_known_error_has_no_range(capsys: pytest.CaptureFixture[str]) -> None:
    found = computed(capsys, "body_mass_index", "mass_kg=70", "stature_m=1.75")
    assert (found["low"], found["high"]) == (None, None)
    assert found["result"] == "22.9 kg/m²"


def test_a_named_option_is_taken(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("six_minute_walk_m_enright_1998", "age_y=70", "stature_m=1.60", "mass_kg=68")
    assert computed(capsys, *words, "sex=female")["value"] == pytest.approx(444.28, abs=0.01)
    assert computed(capsys, *words, "sex=male")["value"] != pytest.approx(444.28, abs=1)
    status, _out, err = run(capsys, *words, "sex=woman")
    assert (status, err) == (2, "Sex is 'woman'; it must be female or male.\n")


def test_the_list_names_every_formula_with_source_and_range(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _err = run(capsys, "--list", "--json")
    listed = {one["name"]: one for one in json.loads(out)}
    assert status == 0
    assert set(listed) == set(REGISTRY)
    assert len(listed) >= 70
    for name, one in listed.items():
        assert one["source"], name
        assert one["trust"], name
        assert one["room"] in ("physiology", "capacity")
        for key, limits in REGISTRY[name].ranges.items():
            told = one["inputs"][key]
            if isinstance(limits, Range):
                assert (told["low"], told["high"], told["unit"]) == (limits.low, limits.high, limits.unit)
            else:
                assert told["options"] == list(limits.options)


def test_the_list_for_people_is_grouped_and_says_how_to_go_on(capsys: pytest.CaptureFixture[str]) -> None:
    _status, out, _err = run(capsys, "--list")
    lines = out.splitlines()
    assert "Physiology, heart rate" in lines
    place = lines.index("  maximum_bpm_inbar_1994")
    assert lines[place + 1 : place + 3] == [
        "      Predicted maximal heart rate (Inbar 1994), in bpm",
        "      age_y: 18 to 110 years; the source states 20 to 70 years",
    ]
    assert lines[-1].startswith(f"{len(REGISTRY)} formulas.")
    assert max(map(len, lines)) <= 160


@pytest.mark.parametrize("wrong", ["maximum_bpm_tanaka", "tanaka", "tanaka 2001", "maximum_bpm_tannaka_2001"])
def test_a_wrong_name_is_answered_with_near_ones(capsys: pytest.CaptureFixture[str], wrong: str) -> None:
    status, _out, err = run(capsys, wrong)
    assert status == 2
    assert err.startswith(f"There is no formula '{wrong}'; did you mean ")
    assert "maximum_bpm_tanaka_2001" in err


def test_everything_missing_is_listed_at_once_with_its_range(capsys: pytest.CaptureFixture[str]) -> None:
    status, _out, err = run(capsys, "reserve_target_bpm")
    assert status == 2
    assert err == (
        "reserve_target_bpm also needs resting_bpm (30 to 130 bpm), maximum_bpm (60 to 230 bpm), fraction (0 to 1).\n"
    )


def test_every_fault_is_told_on_its_own_line(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "reserve_target_bpm", "resting_bpm=x", "maximum_bpm=20", "fraction=60")
    assert (status, out) == (2, "")
    assert err.splitlines() == [
        "resting_bpm=x is not a number; write for example resting_bpm=60 or resting_bpm=1.75.",
        "Maximal heart rate is 20 bpm; it must be from 60 to 230 bpm.",
        "Fraction of the reserve is 60; it must be from 0 to 1. Did you mean 0.6 (60%)?",
    ]


@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        ("stature_m=172", "Did you mean 1.72 m (172 cm)?"),
        ("stature_m=5 ft 8", "did you mean stature_m=1.727, that is 1.727 m?"),
        ("stature_m=5'8\"", "did you mean stature_m=1.727, that is 1.727 m?"),
        ("stature_m=5.8", "Did you mean 1.73 m (5 ft 8 in) or 1.77 m (5.8 ft)?"),
        ("stature_m=1,72", "did you mean stature_m=1.72, that is 1.72 m?"),
    ],
)
def test_a_stature_in_another_unit_is_asked_about(capsys: pytest.CaptureFixture[str], typed: str, asked: str) -> None:
    status, out, err = run(capsys, "body_mass_index", "mass_kg=70", typed)
    assert (status, out) == (2, "")
    assert asked in err
