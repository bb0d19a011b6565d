"""Static analysis of a protocol: rules that contradict each other or can never fire, gaps between bands, limits that a
stricter rule makes dead, wording without a source, placeholders without a value. Each finding is one sentence.

:func:`findings` looks at one loaded protocol; :func:`check_text` reads a file's text and looks at it for every
jurisdiction that it carries. The method and what it cannot see: docs/protocol_analysis.md.
"""

from haleward.safety.analysis.finding import Finding
from haleward.safety.analysis.report import Checked, check_file, check_text, findings

__all__ = ["Checked", "Finding", "check_file", "check_text", "findings"]
