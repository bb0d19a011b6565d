"""A movement file that cannot be right is refused with the sentence that says what, where and what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest

from haleward.errors import FileFault
from haleward.movement.library import DEFAULT_FOLDER, read_movement


def refused(folder: Path, name: str, *changes: tuple[str, str]) -> list[str]:
    """The faults of a movement of the library after these changes, each made once."""
    text = (DEFAULT_FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = folder / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileFault) as error:
        read_movement(path)
    return list(error.value.faults)


def test_a_joint_beyond_its_limit_is_told_with_its_pose_and_its_range(tmp_path: Path) -> None:
    faults = refused(
        tmp_path,
        "knee_extension",
        ("leg_left = [92, 4, 0, 12, -8]", "leg_left = [92, 4, 0, -25, -8]"),
        ("leg_right = [92, 4, 0, 12, -8]", "leg_right = [92, 4, 0, -25, -8]"),
    )
    assert [fault.split(": ", 1)[1] for fault in faults] == [
        f"[postures.seated.poses.end_{side}]: {side} knee flexion is -25 degrees; it must be from 0 to 130 degrees."
        for side in ("left", "right")
    ]


def test_a_planted_foot_that_floats_is_refused_with_how_far(tmp_path: Path) -> None:
    faults = refused(tmp_path, "heel_raise", ("pelvis = [0, 0, 0.285]", "pelvis = [0, 0, 0.335]"))
    assert [fault.split(": ", 1)[1] for fault in faults[:2]] == [
        f"[postures.seated.poses.start]: the {side} foot is planted but floats above the floor or step by 9 cm."
        for side in ("left", "right")
    ]


def test_a_hand_that_misses_what_it_holds_is_refused(tmp_path: Path) -> None:
    (fault,) = refused(
        tmp_path,
        "knee_lift",
        ("arm_left = [-17.4, 6.2, 0, 66.8, 0, 0, 0, 0]", "arm_left = [40, 6.2, 0, 20, 0, 0, 0, 0]"),
    )
    assert fault.endswith(
        'line 84: [postures.seated.poses.start]: the left hand holds on ("seat_edge") but is 34 cm away from there.'
    )


def test_a_pose_that_a_cycle_names_and_the_posture_lacks_is_refused(tmp_path: Path) -> None:
    faults = refused(tmp_path, "knee_extension", ("[postures.seated.poses.end_right]", "[postures.seated.poses.other]"))
    assert faults == [
        'knee_extension.toml, line 104: [postures.seated.cycles]: the pose "end_right" is not among the poses.'
    ]


def test_a_posture_of_the_ladder_without_its_poses_is_refused(tmp_path: Path) -> None:
    faults = refused(
        tmp_path,
        "knee_extension",
        ('posture = "seated"\nkits = ["own_weight"]', 'posture = "standing"\nkits = ["own_weight"]'),
    )
    assert [fault.removeprefix("knee_extension.toml: the file: ") for fault in faults[:2]] == [
        "the ladder has a rung for standing with own_weight, which the postures do not have.",
        "the ladder has no rung for seated with own_weight.",
    ]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ((("leg_right = [92, 4, 0, 12, -8]", "leg_right = [92, 4, 0, 30, -8]"),), "left knee flexion differs"),
        ((("leg_right = [92, 4, 0, 12, -8]", "leg_right = [92, 14, 0, 12, -8]"),), "left hip abduction differs"),
        ((('side = "right"', 'side = "left"'),), "there is no cycle for the right side"),
        ((('out = [["end_right", 2, 1, "out"]]', 'out = [["end_right", 3, 1, "out"]]'),), "same steps and times"),
    ],
)
def test_sides_that_are_not_mirrored_are_refused(
    tmp_path: Path, changes: tuple[tuple[str, str], ...], says: str
) -> None:
    faults = refused(tmp_path, "knee_extension", *changes)
    assert any(says in fault for fault in faults), faults
    assert all(fault.startswith("knee_extension.toml, line ") for fault in faults)


def test_breath_held_against_the_effort_is_refused(tmp_path: Path) -> None:
    (fault,) = refused(tmp_path, "biceps_curl", ('["end", 2, 0, "out"]', '["end", 2, 0, "in"]'))
    assert 'the way out is the effort and says "in"; breathing out goes with the effort' in fault
