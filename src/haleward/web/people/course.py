"""The charts of one person's course, drawn once for each state of what they show."""

from __future__ import annotations

import hashlib
from datetime import date
from typing import cast

from django.core.cache import cache
from django.utils import timezone

from haleward.record import DrugClass
from haleward.render.chart_course import Course, CourseChart, HeartAtEffort, course_charts
from haleward.web.assessment.mapping import record_of
from haleward.web.delivery.logs import all_logs
from haleward.web.people.models import Person
from haleward.web.prescription.signing import programme_of
from haleward.web.team import protocol as in_force

KEPT_S = 24 * 3600
AT_REST, AT_REST_HOW = "hr_rest", "check of the day"


def charts_of(person: Person, *, today: date) -> tuple[CourseChart, ...]:
    """All charts for which something is recorded; none before the first signed plan or assessment."""
    course = course_of(person, today=today)
    key = hashlib.sha256(f"{person.pk} {course!r}".encode()).hexdigest()
    found: tuple[CourseChart, ...] | None = cache.get(f"course-{key}")
    if found is None:
        found = course_charts(course, library=in_force.library())
        cache.set(f"course-{key}", found, KEPT_S)
    return found


def course_of(person: Person, *, today: date) -> Course:
    """Signed versions, sessions and finished assessments, oldest first, and the resting rates of the day's checks."""
    assessments = person.assessments.filter(finished_at__isnull=False).order_by("finished_at")
    checks = person.day_checks.order_by("asked_at").values_list("asked_at", "answers")
    slowing = in_force.protocol_of(person.service).policies.intensity.epoch_medicines
    return Course(
        versions=tuple(
            programme_of(row) for row in person.programmes.filter(signed_at__isnull=False).order_by("version")
        ),
        logs=all_logs(person),
        records=tuple(record_of(row) for row in assessments),
        today=today,
        epoch_medicines=cast(tuple[DrugClass, ...], slowing),
        readings=tuple(
            HeartAtEffort(timezone.localdate(at), answers[AT_REST], None, AT_REST_HOW)
            for at, answers in checks
            if isinstance(answers.get(AT_REST), int | float)
        ),
    )
