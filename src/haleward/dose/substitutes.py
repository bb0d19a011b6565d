"""What can take an exercise's place for the same purpose: nearest first, with what stays the same and what changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from haleward.dose.loads import load_text, spec_of
from haleward.dose.model import Exercise, Load
from haleward.dose.options import Option, Options
from haleward.dose.words import words
from haleward.movement.body import Body
from haleward.movement.library import Library
from haleward.movement.model import Joint
from haleward.movement.torque import WorkingPath
from haleward.physiology.tables import texts
from haleward.record import Band, Posture, Record

HEAVIER = 1.1  # a peak load more than a tenth over the exercise's own is said to be heavier


@dataclass(frozen=True)
class Substitute:
    """Another movement of the same region at its start, and sentences about it; ``heavier`` is "" if it is not."""

    option: Option
    stays: str
    changes: str
    same_pattern: bool
    apart_nm: float | None  # how far its peak load lies from that of the exercise; None when it cannot be compared
    heavier: str = ""


def substitutes(
    exercise: Exercise, options: Options, used: frozenset[str], record: Record, library: Library
) -> tuple[Substitute, ...]:
    """Usable movements of the exercise's region that the plan does not have yet.

    The same pattern comes first, then what loads the same working joint most nearly as much, then what works another
    joint or cannot be compared (height and weight unknown).
    """
    found = [
        _substitute(exercise, option, record, library)
        for option in options.eligible
        if option.region == exercise.region and option.movement_id not in used | {exercise.movement_id}
    ]
    far = float("inf")
    return tuple(
        sorted(
            found,
            key=lambda one: (
                not one.same_pattern,
                one.option.light_work,
                far if one.apart_nm is None else one.apart_nm,
                one.option.movement_id,
            ),
        )
    )


def _substitute(exercise: Exercise, option: Option, record: Record, library: Library) -> Substitute:
    before, now = library.movement(exercise.movement_id), library.movement(option.movement_id)
    peaks = _peaks(exercise, option, record, library)
    heavier = peaks is not None and peaks[1] > peaks[0] * HEAVIER
    peak_told = _peak_told(peaks, now.working_joint, heavier=heavier)
    changes = [
        *_load_changes(exercise, option),
        *([peak_told] if peak_told and not heavier else []),
        *_work_changes(exercise, option, library),
    ]
    told = _words("changes", list="; ".join(changes)) if changes else _words("changes_nothing")
    return Substitute(
        option,
        _words("stays", list=", ".join(_stays(exercise, option, library))),
        told,
        same_pattern=before.pattern == now.pattern,
        apart_nm=None if peaks is None else abs(peaks[1] - peaks[0]),
        heavier=peak_told if heavier else "",
    )


def _stays(exercise: Exercise, option: Option, library: Library) -> Iterator[str]:
    """What both share: what it is for, the load, the posture, the joint, and last the pattern."""
    before, now = library.movement(exercise.movement_id), library.movement(option.movement_id)
    yield words(f"region_{option.region}").lower()
    if load_text(exercise.dose.load) == load_text(option.start.load):
        yield load_text(option.start.load)
    if exercise.posture == option.start.posture:
        yield words(f"posture_{exercise.posture}")
    if now.working_joint is not None and now.working_joint == before.working_joint:
        yield _words("joint_same", joint=now.working_joint)
    if before.pattern == now.pattern:
        yield _plain(now.pattern)


def _peaks(exercise: Exercise, option: Option, record: Record, library: Library) -> tuple[float, float] | None:
    """Peak load of the exercise and of the option at the joint that both work; ``None`` if they cannot be compared."""
    joint = library.movement(option.movement_id).working_joint
    if joint is None or joint != library.movement(exercise.movement_id).working_joint:
        return None
    start = option.start
    before = peak_nm(exercise.movement_id, exercise.posture, exercise.dose.load, joint, record, library)
    now = peak_nm(option.movement_id, start.posture, start.load, joint, record, library)
    return None if before is None or now is None else (before, now)


def _load_changes(exercise: Exercise, option: Option) -> Iterator[str]:
    start = option.start
    loads = {"before": load_text(exercise.dose.load), "now": load_text(start.load)}
    if loads["before"] != loads["now"]:
        yield _words("load", **loads)
    if exercise.posture != start.posture:
        postures = {"before": words(f"posture_{exercise.posture}"), "now": words(f"posture_{start.posture}")}
        yield _words("posture", **postures)


def _peak_told(peaks: tuple[float, float] | None, joint: Joint | None, *, heavier: bool) -> str:
    if peaks is None or joint is None:
        return ""
    before, now = (f"{peak:.1f}" for peak in peaks)
    key = "peak_more" if heavier else "peak_same" if before == now else "peak"
    return _words(key, joint=joint, before=before, now=now)


def _work_changes(exercise: Exercise, option: Option, library: Library) -> Iterator[str]:
    """Another joint, one side or both, and last another pattern."""
    one, other = (library.movement(movement_id) for movement_id in (exercise.movement_id, option.movement_id))
    if one.working_joint and other.working_joint and one.working_joint != other.working_joint:
        yield _words("joint", before=one.working_joint, now=other.working_joint)
    each = library.form(option.movement_id, option.start.posture).each_side
    if each != library.form(exercise.movement_id, exercise.posture).each_side:
        yield _words("sides" if each else "both")
    if one.pattern != other.pattern:
        yield _words("pattern", before=_plain(one.pattern), now=_plain(other.pattern))


def peak_nm(
    movement_id: str, posture: Posture, load: Load, joint: Joint, record: Record, library: Library
) -> float | None:
    """Peak torque at the working joint on this person's body, own limb included; ``None`` without height and weight."""
    band: Band | None = next((one for one in record.kit.bands or () if one.name == load.band), None)
    if record.stature_m is None or record.mass_kg is None or (load.kit == "band" and band is None):
        return None
    form = library.form(movement_id, posture)
    body = Body(stature_m=record.stature_m, mass_kg=record.mass_kg)
    path = WorkingPath(form, body, joint, "winter", form.cycles[0].side or "left")
    return abs(path.loaded(spec_of(load), band).peak.torque_nm)


def _words(key: str, **values: str) -> str:
    return texts("substitute_words")[key].format(**values)


def _plain(pattern: str) -> str:
    """The library's "squat / rise" as it is read: "squat or rise"."""
    return pattern.replace(" / ", " or ")
