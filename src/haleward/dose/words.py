"""The sentences of this room, from data/wording, with numbers written as staff and people read them."""

from __future__ import annotations

from datetime import date

from haleward.movement.model import Movement
from haleward.wording import default_wording


def words(key: str, **values: object) -> str:
    """The sentence ``key`` with its placeholders filled; a float is written without needless decimals."""
    return default_wording().text(key, {name: shown(value) for name, value in values.items()})


def title_of(movement: Movement, posture: str = "") -> str:
    """The title that plans and people know a movement by, in ``posture`` or in its hardest one."""
    wording = default_wording()
    one = posture or list(movement.postures)[-1]
    return wording.movement(movement.id, one).title if wording.has_movement(movement.id, one) else movement.name


def shown(value: object) -> str:
    """A value as a reader expects it: 1.0 as "1", 89.876 as "89.88", a date as "3 February 2026"."""
    if isinstance(value, date):
        return f"{value.day} {value:%B %Y}"
    if isinstance(value, float):
        return f"{round(value, 2):g}"
    return str(value)


def listed(items: tuple[str, ...]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"
