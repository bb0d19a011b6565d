"""One repetition as frames: each instant drawn once, and used again on the way back where the way is the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from haleward.movement.model import Step
from haleward.movement.motion import ease
from haleward.render.figure_scene import Scene
from haleward.render.svg import Shape

FRAMES_A_SECOND = 12
FEWEST_FRAMES = 11
MOST_FRAMES, MOST_EACH_WAY = 20, 11  # in one direction: drawn once for both ways, or once for each
SAME_INSTANT_DIGITS = 3
ORDER_STEPS = 4  # depth order is found at this many even steps of a move and kept for the frames nearest to it


@dataclass(frozen=True)
class Instant:
    """A share (already eased) of the move between two key poses, and how many moves came before it."""

    first: str
    last: str
    share: float
    moved: int

    def away_from(self, pose: str) -> float:
        """Share of a move between here and a key pose; 1 when neither end of the move is that pose."""
        return min(self.share if self.first == pose else 1.0, 1 - self.share if self.last == pose else 1.0)

    @property
    def key(self) -> tuple[str, str, float]:
        """The same for the same instant of a move and of its reverse."""
        share = round(self.share, SAME_INSTANT_DIGITS)
        if share == 0:
            return (self.first, self.first, 0.0)
        if share == 1:
            return (self.last, self.last, 0.0)
        if self.first > self.last:
            return (self.last, self.first, round(1 - share, SAME_INSTANT_DIGITS))
        return (self.first, self.last, share)


def animation_frames(scene: Scene, *, out_s: float, back_s: float) -> dict[str, Any]:
    """The animation's plain data."""
    cycle = scene.cycle
    steady = _steady(scene)
    if _retraced(scene):
        out = _instants(cycle.start, cycle.out, _count(out_s, MOST_FRAMES), 0, steady)
        back = out[::-1]
    else:
        out = _instants(cycle.start, cycle.out, _count(out_s, MOST_EACH_WAY), 0, steady)
        back = _instants(cycle.out[-1].pose, cycle.back, _count(back_s, MOST_EACH_WAY), len(cycle.out), steady)
    palette: dict[str, int] = {}
    frames: list[list[list[Any]]] = []
    numbers: dict[tuple[object, ...], int] = {}
    orders: dict[tuple[object, ...], list[str]] = {}
    for instant in (*out, *back):
        key = (*instant.key, instant.moved + instant.share) if scene.poser.form.scene.belt else instant.key
        if key not in numbers:
            numbers[key] = len(frames)
            frames.append([_entry(shape, palette) for shape in _shapes(scene, instant, orders)])
    indices = [numbers[(*i.key, i.moved + i.share) if scene.poser.form.scene.belt else i.key] for i in (*out, *back)]
    return {
        "size": list(scene.size),
        "palette": list(palette),
        "frames": frames,
        "out": indices[: len(out)],
        "back": indices[len(out) :],
        "start": indices[0],
        "end": indices[min(range(len(out)), key=lambda n: out[n].away_from(cycle.turning))],
    }


def _count(seconds: float, most: int) -> int:
    return min(max(round(seconds * FRAMES_A_SECOND), FEWEST_FRAMES), most)


def _steady(scene: Scene) -> bool:
    """Whether the movement goes on at an even pace (walking, turning a crank) and does not stop at its key poses."""
    drawn = scene.poser.form.scene
    return drawn.belt > 0 or drawn.arrow.joint.startswith("loop_")


def _retraced(scene: Scene) -> bool:
    """Whether the way back goes through the same poses as the way out, in reverse."""
    cycle = scene.cycle
    return cycle.back_poses == tuple(reversed(cycle.out_poses)) and not scene.poser.form.scene.belt


def _instants(start: str, steps: tuple[Step, ...], count: int, moved: int, steady: bool) -> list[Instant]:
    """``count`` instants at even time: one ease over a chain of moves without holds, else one for each move."""
    poses = (start, *(step.pose for step in steps))
    chained = all(step.hold_s == 0 for step in steps[:-1])
    stays = [*(step.hold_s for step in steps[:-1]), 0.0]  # the hold at the turning point is the player's pause
    whole = sum(step.move_s for step in steps) + sum(stays)
    found = []
    for n in range(count):
        time = n / (count - 1)
        at_s = (ease(time) if chained and not steady else time) * whole
        for i, step in enumerate(steps):
            if at_s <= step.move_s + stays[i] + 1e-9 or i == len(steps) - 1:
                share = min(at_s / step.move_s, 1.0)
                found.append(Instant(poses[i], poses[i + 1], share if chained else ease(share), moved + i))
                break
            at_s -= step.move_s + stays[i]
    return found


def _shapes(scene: Scene, instant: Instant, orders: dict[tuple[object, ...], list[str]]) -> list[Shape]:
    poser = scene.poser
    nearest = round(instant.share * ORDER_STEPS)
    key = Instant(instant.first, instant.last, nearest / ORDER_STEPS, 0).key
    pose = instant.first if instant.share < 0.5 else instant.last
    if key not in orders:
        orders[key] = scene.order(poser.between(instant.first, instant.last, nearest / ORDER_STEPS), pose)
    state = poser.between(instant.first, instant.last, instant.share)
    travelled = (instant.moved + instant.share) * poser.form.scene.belt * poser.body.stature_m
    return scene.shapes(state, pose, orders[key], travelled_m=travelled)


def _entry(shape: Shape, palette: dict[str, int]) -> list[Any]:
    def number(colour: str) -> int:
        return palette.setdefault(colour, len(palette)) if colour else -1

    return [shape.path, number(shape.fill), number(shape.stroke), shape.width]
