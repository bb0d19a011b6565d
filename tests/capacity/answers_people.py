"""The people and walks of the answers that are held in full."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

from haleward.capacity import (
    void,
)
from haleward.capacity.field_values import About
from haleward.record import Record, WalkTest

DAY, LATER = date(2026, 3, 3), date(2026, 6, 9)
METHODS = ("peak_vo2_six_minute_walk_ross_2010", "vo2_shuttle_walk_buckley_2016")
UNKNOWN = About(on=DAY, walk_methods=METHODS)
MAN = replace(UNKNOWN, sex="male", age_y=65, stature_m=1.75, mass_kg=82)
SINUS = replace(MAN, rhythm="sinus", slowed=False, device_kind="none", transplant=False)
WOMAN = replace(SINUS, sex="female", age_y=44, stature_m=1.62, mass_kg=61)
SLOWED = replace(SINUS, slowed=True)
FLUTTER = replace(SINUS, rhythm="atrial_fibrillation")
CLEAR = dict.fromkeys(void.fact_names(), False)
PERSON = Record("p-1", "Wren", DAY, born_on=date(1958, 5, 6), sex="female")
SIX = WalkTest("six_minute_walk", 420, DAY, course_m=30, practice_done=True, symptoms=False)
SHUTTLES = WalkTest("shuttle_walk", 400, DAY, course_m=10, symptoms=False)
Case = Callable[[], Any]
