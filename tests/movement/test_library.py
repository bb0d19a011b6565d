"""Every movement file is whole, and a faulty one is refused with its name and its fault."""

import csv
import json
import re
from pathlib import Path

import pytest

from haleward.errors import FileFault
from haleward.movement.library import DEFAULT_FOLDER, default_library, load_library, read_movement
from haleward.movement.loads import KIT_KINDS
from haleward.movement.model import Form, Movement
from haleward.physiology import metabolic
from haleward.record import POSTURES, Posture
from haleward.wording import default_wording

CHECKS = Path(__file__).parent.parent / "checks"
PROGRAMME_REGIONS = ("pull", "push", "reach", "stand_up", "hip", "knee", "calf", "trunk", "balance")
FORMS = [
    pytest.param(movement, posture, form, id=f"{movement.id}-{posture}")
    for movement in default_library().movements.values()
    for posture, form in movement.postures.items()
]


def test_the_library_holds_fifty_five_movements_and_every_region() -> None:
    movements = default_library().movements
    assert len(movements) == 55
    regions = {movement.region for movement in movements.values()}
    assert regions == {*PROGRAMME_REGIONS, "aerobic"}


@pytest.mark.parametrize(("movement", "posture", "form"), FORMS)
def test_a_form_has_a_start_a_turning_point_and_kit(movement: Movement, posture: Posture, form: Form) -> None:
    assert posture in POSTURES
    assert form.kits
    assert set(form.kits) == set(form.kit_use) <= set(KIT_KINDS)
    assert form.out_s > 0
    assert form.back_s > 0
    for cycle in form.cycles:
        assert cycle.start in form.poses
        assert cycle.turning in form.poses
        assert cycle.turning != cycle.start
    if form.each_side:
        assert [cycle.side for cycle in form.cycles] == ["left", "right"]


@pytest.mark.parametrize(("movement", "posture", "form"), FORMS)
def test_the_kit_of_a_form_is_the_kit_its_wording_has_words_for(
    movement: Movement, posture: Posture, form: Form
) -> None:
    words = default_wording().movement(movement.id, posture)
    worded = {kit for kit in KIT_KINDS if getattr(words, f"kit_{kit}")}
    if form.equipment in ("static_cycle", "arm_crank", "rower"):  # a machine of the venue, no kit of one's own
        assert (worded, form.kits) == (set(), ("own_weight",))
    else:
        assert set(form.kits) == worded
    assert form.effort == words.effort_phase


@pytest.mark.parametrize(("movement", "posture", "form"), FORMS)
def test_breathing_out_belongs_to_the_effort(movement: Movement, posture: Posture, form: Form) -> None:
    for cycle in form.cycles:
        effort, rest = (cycle.back, cycle.out) if form.effort == "to_start" else (cycle.out, cycle.back)
        breaths = {step.breath for step in effort}
        assert "in" not in breaths
        if form.effort == "to_start":
            assert breaths == {"out"}
            assert {step.breath for step in rest} == {"in"}
            assert sum(step.move_s for step in effort) < sum(step.move_s for step in rest)


@pytest.mark.parametrize(("movement", "posture", "form"), FORMS)
def test_a_form_needs_the_furniture_it_stands_by(movement: Movement, posture: Posture, form: Form) -> None:
    needed = {
        "chair": "firm_chair",
        "armchair": "armchair",
        "chair_back": "firm_chair",
        "chair_side": "firm_chair",
        "worktop": "worktop",
        "worktop_side": "worktop",
        "wall": "clear_wall",
        "step": "step_height_m",
        "low_step": "step_height_m",
    }
    for prop in form.scene.props:
        if prop.kind in needed:
            assert needed[prop.kind] in form.needs
    for use in form.kit_use.values():
        assert (use.anchor is not None) == ("door_anchor" in use.needs)


def test_a_hand_supported_form_has_a_hand_on_something() -> None:
    for movement in default_library().movements.values():
        if "hand_supported" in movement.postures:
            form = movement.postures["hand_supported"]
            start = form.poses[form.cycles[0].start]
            assert set(start.hands.values()) != {"free"}, movement.id


def test_the_intended_angles_lie_in_the_range_of_motion_of_older_adults() -> None:
    with (CHECKS / "movement_range_of_motion.csv").open(newline="", encoding="utf-8") as handle:
        limits = {
            (row["joint"], row["motion"]): float(row["working_limit_for_library_deg"])
            for row in csv.DictReader(handle)
            if row["working_limit_for_library_deg"]
        }
    pairs = {
        "shoulder_abduction": (-25.0, limits["shoulder", "abduction"]),
        "elbow_flexion": (0.0, limits["elbow", "flexion"]),
        "hip_abduction": (-limits["hip", "adduction"], limits["hip", "abduction"]),
        "knee_flexion": (0.0, limits["knee", "flexion"]),
        "trunk_rotation": (-limits["thoracolumbar", "rotation"], limits["thoracolumbar", "rotation"]),
        "neck_rotation": (-limits["cervical", "rotation"], limits["cervical", "rotation"]),
        "shoulder_external_rotation": (-limits["shoulder", "medial_rotation"], limits["shoulder", "lateral_rotation"]),
    }
    for movement in default_library().movements.values():
        for form in movement.postures.values():
            for pose in form.poses.values():
                for name, angle in pose.angles.items():
                    low, high = pairs.get(name.removesuffix("_left").removesuffix("_right"), (-180.0, 180.0))
                    assert low <= angle <= high, (movement.id, pose.name, name, angle)


@pytest.mark.parametrize(
    "row",
    list(csv.DictReader((CHECKS / "movement_met.csv").read_text(encoding="utf-8").splitlines())),
    ids=lambda row: row["case"],
)
def test_a_computed_met_value_follows_its_equation(row: dict[str, str]) -> None:
    met = getattr(metabolic, row["function"])(**json.loads(row["inputs"])) / 3.5
    assert met == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))
    assert default_library().movements[row["movement_id"]].met == pytest.approx(met, abs=float(row["tolerance"]))


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('region = "pull"', 'region = "arms"', "region is 'arms'; it must be one of pull"),
        ("version = 1", 'version = 1\ncolour = "red"', '"colour" is not a key of'),
        ("small_muscle = false", "", "small_muscle is missing"),
        ('needs = ["firm_chair"]', 'needs = ["sofa"]', 'names "sofa", which is not a field'),
        ("trunk = [0, 0, 0]", "trunk = [0, 0]", "trunk has 2 numbers; it must have 3"),
        ('["end", 2, 0, "out"]', '["top", 2, 0, "out"]', 'the pose "top" is not among the poses'),
        ('feet = ["flat", "flat"]', 'feet = ["flat", "sideways"]', 'names "sideways"'),
        ('id = "biceps_curl"', 'id = "curl"', 'must be the file\'s own name, "biceps_curl"'),
        ("each_side = false", "each_side = true", "must be true exactly when the cycles name a side"),
        ("[cautions]", "[cautions", "cannot be read as TOML"),
        ('balance = "common practice"', "", "must name a source for each caution"),
    ],
)
def test_a_faulty_file_is_refused_by_name_and_fault(tmp_path: Path, old: str, new: str, fault: str) -> None:
    text = (DEFAULT_FOLDER / "biceps_curl.toml").read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "biceps_curl.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(FileFault) as refused:
        load_library(tmp_path)
    assert all(re.match(r"biceps_curl\.toml(, line \d+)?: ", one) for one in refused.value.faults), refused.value
    assert fault in str(refused.value)


def test_every_fault_of_a_movement_is_told_with_its_line(tmp_path: Path) -> None:
    text = (DEFAULT_FOLDER / "biceps_curl.toml").read_text(encoding="utf-8")
    for old, new in (("version = 1", "version = 0"), ('feet = ["flat", "flat"]', 'feet = ["flat", "sideways"]')):
        text = text.replace(old, new, 1)
    (tmp_path / "biceps_curl.toml").write_text(text, encoding="utf-8")
    with pytest.raises(FileFault) as refused:
        load_library(tmp_path)
    lines = text.splitlines()
    expected = [next(n for n, line in enumerate(lines, 1) if key in line) for key in ("version = 0", "sideways")]
    assert [int(fault.split("line ")[1].split(":")[0]) for fault in refused.value.faults] == expected


def test_every_faulty_file_of_a_folder_is_named_at_once(tmp_path: Path) -> None:
    for name in ("biceps_curl", "wall_press"):
        (tmp_path / f"{name}.toml").write_text(f'id = "{name}"\n', encoding="utf-8")
    with pytest.raises(FileFault) as refused:
        load_library(tmp_path)
    named = {one.partition(":")[0].partition(",")[0] for one in refused.value.faults}
    assert named == {"biceps_curl.toml", "wall_press.toml"}


def test_an_empty_folder_and_an_unknown_movement_or_posture_are_said(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match="holds no movement file"):
        load_library(tmp_path)
    with pytest.raises(FileFault, match='no movement "handstand"'):
        default_library().movement("handstand")
    with pytest.raises(FileFault, match='has no posture "standing"; it has seated'):
        default_library().form("knee_extension", "standing")


def test_one_file_is_read_by_itself() -> None:
    movement = read_movement(DEFAULT_FOLDER / "sit_to_stand.toml")
    assert tuple(movement.postures) == POSTURES
    assert movement.postures["standing"].out_s == 2.0
    assert movement.postures["standing"].back_s == 3.0
