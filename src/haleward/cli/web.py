"""``haleward serve`` and ``haleward demo``. Django is imported only when one of them runs."""

from __future__ import annotations

import tempfile
from argparse import Namespace
from pathlib import Path


def serve(options: Namespace) -> int:
    """Serve the store in ``--data`` until interrupted."""
    from haleward.web.run import serve as start

    start(port=options.port, data=options.data, open_browser=not options.no_browser)
    return 0


def demo(options: Namespace) -> int:
    """Serve a fresh demo service from a store that is thrown away at the end."""
    from haleward.web.run import serve as start

    with tempfile.TemporaryDirectory(prefix="haleward-demo-") as folder:
        start(port=options.port, data=Path(folder), open_browser=not options.no_browser)
    return 0
