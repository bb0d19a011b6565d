"""One repetition as frames: each instant drawn once, and used again on the way back where the way is the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from haleward.movement.model import Step
from haleward.movement.motion import ease
from haleward.render.draw_list import Shape
from haleward.render.figure_scene import Scene
from haleward.render.figure_take import Shot
from haleward.render.svg import Pen

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

    def in_steps(self) -> Instant:
        """The nearest of the instants at which depth order is found."""
        return replace(self, share=round(self.share * ORDER_STEPS) / ORDER_STEPS, moved=0)

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


@dataclass(frozen=True)
class Repetition:
    """The instants of one repetition at even times, out and back; the same instant is one number in both."""

    instants: tuple[Instant, ...]
    out: tuple[int, ...]
    back: tuple[int, ...]

    def end(self, turning: str) -> int:
        """The instant that shows the turning pose."""
        return min(self.out, key=lambda n: self.instants[n].away_from(turning))


def repetition(scene: Scene, *, out: int, back: int, both: int) -> Repetition:
    """``out`` and ``back`` instants; ``both`` each way where the way back is the way out reversed."""
    cycle = scene.cycle
    steady = _steady(scene)
    if _retraced(scene):
        there = _instants(cycle.start, cycle.out, both, 0, steady)
        home = there[::-1]
    else:
        there = _instants(cycle.start, cycle.out, out, 0, steady)
        home = _instants(cycle.out[-1].pose, cycle.back, back, len(cycle.out), steady)
    found: dict[object, tuple[int, Instant]] = {}
    numbers = []
    for instant in (*there, *home):
        key = (*instant.key, instant.moved + instant.share) if scene.poser.form.scene.belt else instant.key
        numbers.append(found.setdefault(key, (len(found), instant))[0])
    instants = tuple(instant for _, instant in found.values())
    return Repetition(instants, tuple(numbers[: len(there)]), tuple(numbers[len(there) :]))


def draw_lists(scene: Scene, instants: Sequence[Instant]) -> list[list[Shape]]:
    """The draw list of each instant. Depth order is found at a few instants of each move and kept between them."""
    steps: dict[tuple[str, str, float], tuple[Instant, Instant]] = {}
    for instant in instants:
        step = instant.in_steps()
        steps.setdefault(step.key, (step, instant))
    nearest = [*((instant, instant) for instant in instants), *steps.values()]
    take = scene.take(_shots(scene, nearest, painted=len(instants)))
    order = {key: take.order(number) for number, key in enumerate(steps, start=len(instants))}
    return [take.shapes(n, order[instant.in_steps().key]) for n, instant in enumerate(instants)]


def animation_frames(scene: Scene, *, out_s: float, back_s: float) -> dict[str, Any]:
    """The animation's plain data."""
    found = repetition(
        scene,
        out=_count(out_s, MOST_EACH_WAY),
        back=_count(back_s, MOST_EACH_WAY),
        both=_count(out_s, MOST_FRAMES),
    )
    palette: dict[str, int] = {}
    pen = Pen(0)
    return {
        "size": list(scene.size),
        "frames": [[_entry(shape, palette, pen) for shape in shapes] for shapes in draw_lists(scene, found.instants)],
        "palette": list(palette),
        "out": list(found.out),
        "back": list(found.back),
        "start": found.out[0],
        "end": found.end(scene.cycle.turning),
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


def _shots(scene: Scene, nearest: Sequence[tuple[Instant, Instant]], *, painted: int) -> list[Shot]:
    """Instants posed, all at once; the first ``painted`` are painted.

    Furniture stands as for the key pose nearest to the second instant of each pair.
    """
    poser = scene.poser
    step_m = poser.form.scene.belt * poser.body.stature_m
    states = poser.at([(instant.first, instant.last, instant.share) for instant, _ in nearest])
    return [
        Shot(
            states[n],
            by.first if by.share < 0.5 else by.last,
            (instant.moved + instant.share) * step_m,
            n < painted,
        )
        for n, (instant, by) in enumerate(nearest)
    ]


def _entry(shape: Shape, palette: dict[str, int], pen: Pen) -> list[Any]:
    def number(colour: str) -> int:
        return palette.setdefault(colour, len(palette)) if colour else -1

    return [pen.path(shape), number(shape.fill), number(shape.stroke), shape.width]
