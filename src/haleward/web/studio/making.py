"""Where the studio meets the makers of sound and film."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from haleward.errors import HalewardError
from haleward.session.cue_sheet import CueSheet

if TYPE_CHECKING:
    from haleward.web.studio.jobs import Follower
    from haleward.web.studio.models import FilmJob


class FilmStopped(HalewardError):
    """Someone asked to stop making the film."""


def voice_of_block(sheet: CueSheet, index: int) -> bytes:
    raise HalewardError("no voice")


def film_to_disk(job: FilmJob, path: Path, *, follow: Follower) -> None:
    raise HalewardError("no film")


def remove_half_made(path: Path) -> None:
    """Take away what an earlier, broken try left beside the film."""
    for half in path.parent.glob(f"{path.stem}*.half*"):
        half.unlink(missing_ok=True)
