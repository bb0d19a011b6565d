"""The errors a caller can act on. Each message says what is wrong, where, and what would be right."""

from __future__ import annotations


class HalewardError(ValueError):
    """Anything the user can put right. ``str(error)`` is one clear sentence for that user."""


class OutOfRange(HalewardError):
    """A value lies outside the range a formula or a form accepts.

    ``where`` says which of many values it is; ``question`` asks what else may have been meant.
    """

    def __init__(
        self,
        name: str,
        value: object,
        lowest: float | None,
        highest: float | None,
        unit: str,
        *,
        where: str = "",
        question: str = "",
    ) -> None:
        self.name, self.value, self.lowest, self.highest, self.unit = name, value, lowest, highest, unit
        self.question = question
        unit_text = "" if unit in ("", "1") else f" {unit}"
        if lowest is not None and highest is not None:
            allowed = f"from {lowest:g} to {highest:g}{unit_text}"
        elif lowest is not None:
            allowed = f"{lowest:g}{unit_text} or more"
        else:
            allowed = f"{highest:g}{unit_text} or less"
        super().__init__(f"{name} is {value}{unit_text}{where}; it must be {allowed}.{question and ' ' + question}")


class NotApplicable(HalewardError):
    """A method must not be used for this person; ``reason`` says why."""

    def __init__(self, method: str, reason: str) -> None:
        self.method, self.reason = method, reason
        super().__init__(f"{method} cannot be used: {reason}")


class Inconsistent(HalewardError):
    """Two values contradict each other."""


class FileFault(HalewardError):
    """A file has one or more faults; each names the file and the line."""

    def __init__(self, faults: list[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(faults))
