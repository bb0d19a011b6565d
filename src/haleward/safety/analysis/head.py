"""The head of the file: who signed it and when, and whether the dates fit."""

from __future__ import annotations

from collections.abc import Iterator

from haleward.safety.analysis.finding import Finding
from haleward.safety.protocol import Protocol


def head_findings(protocol: Protocol) -> Iterator[Finding]:
    """Names, versions, signature and dates that do not fit together."""
    signed, on, due = protocol.signed_by.strip(), protocol.signed_on, protocol.review_due
    if on is not None and not signed:
        said = f"The protocol is signed on {on.isoformat()} but names nobody. Write the clinical lead in signed_by."
        yield _head("signed_by", said)
    if signed and on is None:
        yield _head("signed_on", f"The protocol is signed by {signed} but not dated. Write the day in signed_on.")
    if signed and "draft" in protocol.status.lower():
        said = f'The protocol is signed by {signed}, but its status says "{protocol.status}". Correct one of them.'
        yield _head("status", said)
    if on is not None and due is not None and due <= on:
        said = f"The review is due on {due.isoformat()}, which is not after the signature of {on.isoformat()}."
        yield _head("review_due", f"{said} Write a later day in review_due.")
    if due is None:
        yield _head("review_due", "No review is due, so the protocol would never be looked at again. Write a day.")
    for key in ("id", "version"):
        if not str(vars(protocol)[key]).strip():
            said = f"The protocol has no {key}, so no decision could say what it rests on. Write one."
            yield _head(key, said)


def _head(key: str, said: str) -> Finding:
    return Finding("head", (key,), ("protocol", key), said)
