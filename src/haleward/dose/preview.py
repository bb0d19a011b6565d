"""Whom a change of protocol would touch among a service's own people, and how.

The answer is that of computing everything for everybody under both protocols (:func:`preview_one_by_one`). The fast way
asks the conditions that differ of everybody at once, and computes only what can differ, with the same functions.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date

from haleward.dose.preview_differences import differences
from haleward.dose.preview_fast import Comparison, Progress
from haleward.dose.preview_model import WHATS, Difference, PersonPreview, Preview, Subject, What
from haleward.dose.preview_people import Prepared, prepare
from haleward.dose.preview_views import views_one_by_one
from haleward.errors import Inconsistent
from haleward.movement.library import Library
from haleward.safety.protocol import Protocol

__all__ = [
    "Difference",
    "PersonPreview",
    "Prepared",
    "Preview",
    "Subject",
    "What",
    "prepare",
    "preview",
    "preview_one_by_one",
]


def preview_one_by_one(
    people: Sequence[Subject], old: Protocol, new: Protocol, *, library: Library, today: date
) -> Preview:
    """The same answer as :func:`preview`, by computing everything for everybody: slow, and the measure of the other."""
    return _told(
        ((one.key, _one_by_one(one, old, new, library=library, today=today)) for one in people),
        asked=len(people),
    )


def preview(
    people: Sequence[Subject] | Prepared,
    old: Protocol,
    new: Protocol,
    *,
    library: Library,
    today: date,
    progress: Progress | None = None,
) -> Preview:
    """Whose gates, risk level, range, placement or first programme would change from ``old`` to ``new``, and how.

    Given :func:`prepare`d people, the facts are not made again. ``progress`` is called with (done, of) while first
    programmes are drafted anew, the only part that takes longer than a moment. Raises :class:`HalewardError` when a
    protocol names a method that cannot turn these walks into a capacity, or when people were prepared for another day.
    """
    ready = people if isinstance(people, Prepared) else prepare(people, today)
    if ready.today != today:
        raise Inconsistent(
            f"These people were prepared for {ready.today}; the preview is for {today}. Prepare them anew."
        )
    comparison = Comparison(ready, old, new, library)
    found: dict[int, list[Difference]] = {}
    for at, change in comparison.differences(progress):
        found.setdefault(at, []).append(change)
    for at in ready.odd:
        one = ready.subjects[at]
        found[at] = list(_one_by_one(one, old, new, library=library, today=today))
    told = ((ready.subjects[at].key, tuple(sorted(found[at], key=_page_order))) for at in sorted(found))
    return _told(told, asked=len(ready.subjects))


def _page_order(change: Difference) -> int:
    return WHATS.index(change.what)


def _one_by_one(
    subject: Subject, old: Protocol, new: Protocol, *, library: Library, today: date
) -> tuple[Difference, ...]:
    before, after = (
        views_one_by_one(subject, protocol=protocol, library=library, today=today) for protocol in (old, new)
    )
    return differences(before, after)


def _told(found: Iterable[tuple[str, tuple[Difference, ...]]], *, asked: int) -> Preview:
    people = tuple(PersonPreview(key, changes) for key, changes in found if changes)
    counts: Counter[What] = Counter(change.what for person in people for change in person.differences)
    return Preview(people, asked, dict(counts))
