"""The command line: ``haleward serve | demo | calc | movements | protocol | languages | session``.

Exit status: 0 done; 2 something the user can put right, told in one sentence for each fault on standard error.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module

from haleward.cli.arguments import parser
from haleward.cli.output import complain, speak_any_terminal
from haleward.errors import FileFault, HalewardError

__all__ = ["main"]

BAD_INPUT = 2


def main(words: Sequence[str] | None = None) -> int:
    """Run one command. Faults become sentences; no traceback reaches the user."""
    speak_any_terminal()
    options = parser().parse_args(words)
    try:
        command = import_module(f"haleward.cli.{options.module}")
        return int(getattr(command, options.action)(options))
    except FileFault as fault:
        complain(*fault.faults)
    except HalewardError as error:
        complain(str(error))
    except BrokenPipeError:
        sys.stderr.close()  # the reader of a pipe has gone; nobody is left to tell
    except OSError as error:
        complain(_file_sentence(error))
    except KeyboardInterrupt:
        complain("Stopped.")
    return BAD_INPUT


def _file_sentence(error: OSError) -> str:
    """What is wrong with a file, in one sentence."""
    name = error.filename or "The file"
    if isinstance(error, FileNotFoundError):
        return f"{name}: there is no such file. Check the name and the folder."
    if isinstance(error, IsADirectoryError):
        return f"{name} is a folder. Name a file in it."
    if isinstance(error, NotADirectoryError):
        return f"{name}: a part of this path is a file, not a folder. Choose another folder."
    if isinstance(error, PermissionError):
        return f"{name}: permission denied. Choose a file or folder that you may use."
    return f"{name}: {error.strerror or error}."
