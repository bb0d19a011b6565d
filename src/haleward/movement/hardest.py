"""Where on its path a movement is hardest, in plain words: "at shoulder height", "just as you leave the seat"."""

from __future__ import annotations

from haleward.movement.geometry import length
from haleward.movement.torque import LoadPath, LoadPoint
from haleward.physiology.tables import texts
from haleward.record import Side

LEVEL = 0.26  # a limb segment whose rise is under this share of its length lies level (15 degrees)
STEADY_SHARE = 0.10  # a load that varies by less than this share of its peak is steady
NEARLY = 0.95
SAME_HEIGHT_M = 0.12  # a hand whose height varies less than this is not described by its height
RISE_LEAST_M = 0.05  # a pelvis that moves less than this neither rises nor sinks
SLIGHT_NM = 0.3  # under this nothing worth a word is held


def hardest_words(path: LoadPath) -> str:
    """Where the load is greatest, as words that end "hardest ..."."""
    return texts("hardest_words")[hardest_key(path)]


def hardest_key(path: LoadPath) -> str:
    """The key of those words in ``data/tables/hardest_words.csv``."""
    sizes = [abs(point.torque_nm) for point in path.points]
    peak = _told_at(path)
    if max(sizes) < SLIGHT_NM:
        return "none"
    if min(sizes) > (1 - STEADY_SHARE) * max(sizes):
        return "steady"
    named = {"elbow": _arm, "shoulder": _arm, "hip": _leg, "knee": _leg, "ankle": _ankle}[path.joint]
    return named(path, peak) or _by_share(peak.share)


def _told_at(path: LoadPath) -> LoadPoint:
    """The peak, or the end of the path where the load is nearly as great: an end is easier to recognise."""
    peak = path.peak
    ends = (path.points[-1], path.points[0])
    return next((end for end in ends if abs(end.torque_nm) > NEARLY * abs(peak.torque_nm)), peak)


def _arm(path: LoadPath, point: LoadPoint) -> str | None:
    joints, side = point.state.joints, path.side
    if path.joint == "elbow" and _level(point, f"elbow_{side}", f"wrist_{side}"):
        return "forearm_level"
    heights = [float(one.state.joints[f"hand_{side}"][2]) for one in path.points]
    if max(heights) - min(heights) < SAME_HEIGHT_M:
        out = [_reach(one, side) for one in path.points]
        return "arms_out" if _reach(point, side) > NEARLY * max(out) else None
    hand = float(joints[f"hand_{side}"][2])
    shoulder, hip, head = (float(joints[name][2]) for name in (f"shoulder_{side}", f"hip_{side}", "head"))
    part = (shoulder - hip) / 8
    if hand > head + part:
        return "hand_over_head"
    if hand > shoulder + part:
        return "hand_head"
    landmarks = (("hand_shoulder", 1), ("hand_chest", 3), ("hand_waist", 5), ("hand_hip", 8))
    return next((key for key, parts in landmarks if hand > shoulder - parts * part - part * 0.5), "hand_low")


def _reach(point: LoadPoint, side: Side) -> float:
    joints = point.state.joints
    return length(joints[f"hand_{side}"] - joints[f"shoulder_{side}"])


def _leg(path: LoadPath, point: LoadPoint) -> str | None:
    first, joints, side = path.points[0].state, point.state.joints, path.side
    on_floor = point.state.feet[side].planted
    if on_floor:
        return _standing_leg(path, point)
    if path.joint == "knee" and _level(point, f"knee_{side}", f"ankle_{side}"):
        return "knee_straight" if abs(point.state.angles[f"knee_flexion_{side}"]) < 30 else "foot_back"
    if path.joint == "hip" and _level(point, f"hip_{side}", f"knee_{side}"):
        return "thigh_level"
    moved = length(joints[f"ankle_{side}"] - first.joints[f"ankle_{side}"])
    furthest = max(length(one.state.joints[f"ankle_{side}"] - first.joints[f"ankle_{side}"]) for one in path.points)
    return "leg_out" if moved > 0.95 * furthest else None


def _standing_leg(path: LoadPath, point: LoadPoint) -> str | None:
    pelvis = [float(one.state.pelvis[2]) for one in path.points]
    here = float(point.state.pelvis[2])
    rises, span = pelvis[-1] - pelvis[0], max(pelvis) - min(pelvis)
    if _on_step(path, point):
        return "stepping"
    lean = [one.state.angles["trunk_flexion"] for one in path.points]
    if path.joint == "hip" and point.state.angles["trunk_flexion"] > 0.95 * max(lean) and max(lean) > 30:
        return "leaning"
    if span < RISE_LEAST_M:
        return None
    if rises > 0.5 * span and here < min(pelvis) + 0.25 * span:
        return "leaving_seat"
    return "lowest" if here < min(pelvis) + 0.1 * span else None


def _on_step(path: LoadPath, point: LoadPoint) -> bool:
    return float(point.state.feet[path.side].origin[2]) > 0.05


def _ankle(path: LoadPath, point: LoadPoint) -> str | None:
    kinds = {one.state.feet[path.side].kind for one in path.points}
    if "heel" in kinds:
        return "toes_up"
    if "ball" not in kinds:
        return None
    return "heel_low" if point.share < 0.5 else "heel_high"


def _level(point: LoadPoint, first: str, last: str) -> bool:
    along = point.state.joints[last] - point.state.joints[first]
    return abs(float(along[2])) < LEVEL * length(along)


def _by_share(share: float) -> str:
    return "at_start" if share < 0.25 else "at_end" if share > 0.75 else "half_way"
