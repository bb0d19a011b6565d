"""A FHIR R4 JSON file as resources with their places, and the references between them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, NoReturn

from haleward.errors import HalewardError
from haleward.exchange.fhir_node import Node, plain_text

LARGEST_FILE_BYTES = 5_000_000
BUNDLE_TYPES = ("document", "collection", "searchset", "transaction")


@dataclass(frozen=True)
class Resource(Node):
    """A resource of the file; ``urls`` are the references that mean it."""

    kind: str = ""
    urls: tuple[str, ...] = ()


@dataclass(frozen=True)
class Bundle:
    """The resources of one file, in its order. ``type`` is "" for a bare resource."""

    type: str
    resources: tuple[Resource, ...]

    def of(self, *kinds: str) -> tuple[Resource, ...]:
        """The resources of these kinds."""
        return tuple(resource for resource in self.resources if resource.kind in kinds)

    def resolve(self, node: Node, key: str, *, holder: Resource | None = None) -> Resource | None:
        """The resource that the Reference at ``key`` means, in the file or contained in ``holder``."""
        target = node.child(key).text("reference")
        if target.startswith("#") and holder is not None:
            for inner in holder.children("contained"):
                if inner.text("id") == target[1:]:
                    return Resource(inner.data, inner.path, inner.text("resourceType"))
        return next((resource for resource in self.resources if target and target in resource.urls), None)


def read_bundle(data: bytes) -> Bundle:
    """The resources in ``data``. Raises :class:`HalewardError` with one sentence if the shape is not FHIR R4's."""
    content = _json(data)
    if not isinstance(content, dict):
        raise HalewardError("The file is not a FHIR resource: it must start with { and name a resourceType.")
    kind = Node(content, "file").text("resourceType")
    if not kind:
        raise HalewardError("The file is not a FHIR resource: resourceType is missing.")
    if kind != "Bundle":
        return Bundle("", (_resource(Node(content, kind), "", kind),))
    top = Node(content, "Bundle")
    bundle_type = top.text("type")
    if bundle_type not in BUNDLE_TYPES:
        raise HalewardError(f'Bundle.type is "{bundle_type}"; read here are {", ".join(BUNDLE_TYPES)}.')
    resources = tuple(_entry(entry, number) for number, entry in enumerate(top.children("entry"), start=1))
    if not resources:
        raise HalewardError("The Bundle has no entries; ask the referrer to send it again.")
    if bundle_type == "document" and resources[0].kind != "Composition":
        raise HalewardError(f"The document's first entry is {resources[0].kind}; FHIR asks for a Composition there.")
    return Bundle(bundle_type, resources)


def _entry(entry: Node, number: int) -> Resource:
    if not entry.has("resource"):
        raise HalewardError(f"Entry {number} of the Bundle holds no resource.")
    content = entry.child("resource")
    kind = content.text("resourceType")
    if not kind:
        raise HalewardError(f"Entry {number} of the Bundle names no resourceType.")
    return _resource(Node(content.data, f"entry {number}, {kind}"), entry.text("fullUrl"), kind)


def _resource(node: Node, full_url: str, kind: str) -> Resource:
    local = node.text("id")
    urls = tuple(url for url in (full_url, f"{kind}/{local}" if local else "") if url)
    return Resource(node.data, node.path, kind, urls)


def _json(data: bytes) -> Any:
    if len(data) > LARGEST_FILE_BYTES:
        raise HalewardError(
            f"The file has {len(data) / 1e6:.1f} MB; at most 5 MB are read. Send one person's referral."
        )
    try:
        return json.loads(data.decode("utf-8-sig"), parse_constant=_no_constant)
    except UnicodeDecodeError as error:
        raise HalewardError("The file's letters cannot be read; FHIR files are UTF-8. Export it again.") from error
    except json.JSONDecodeError as error:
        raise HalewardError(f"The file is not JSON: line {error.lineno}, {plain_text(error.msg, 60)}.") from error
    except RecursionError as error:
        raise HalewardError("The file is nested too deeply to be a referral.") from error
    except ValueError as error:
        raise HalewardError("The file holds a number that FHIR does not allow.") from error


def _no_constant(word: str) -> NoReturn:
    raise ValueError(word)
