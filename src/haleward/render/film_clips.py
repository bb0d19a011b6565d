"""Encoded pictures. One repetition is encoded once; another repetition needs only its first picture anew.

A picture after the first is stored as what changes in it. What changes from one repetition to the next is the strip,
and the strip is in the first picture: so all other packets of the repetition are used again byte for byte. That holds
only for an encoder that carries nothing over from clip to clip, hence the fixed settings.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from haleward.render.film_plan import FRAMES_A_SECOND
from haleward.render.film_planes import Size
from haleward.render.sound import film_package

TIME_BASE = Fraction(1, FRAMES_A_SECOND)
X264 = (
    "keyint=infinite:min-keyint=1:scenecut=0:bframes=0:ref=1:weightp=0:mbtree=0:aq-mode=0:rc-lookahead=0:"
    "sync-lookahead=0:sliced-threads=0:threads=1:ipratio=1.0:repeat-headers=0:"
    "colorprim=bt709:transfer=bt709:colormatrix=bt709"
)
OPTIONS = {"tune": "animation", "forced-idr": "1"}


def set_up(codec: Any, size: Size) -> None:
    """The same settings for every clip and for the film that holds them."""
    codec.width, codec.height, codec.pix_fmt = size.width, size.height, "yuv420p"
    codec.time_base, codec.framerate = TIME_BASE, Fraction(FRAMES_A_SECOND)
    own = {"preset": size.preset, "qp": str(size.quantiser), "x264-params": f"{X264}:{size.search}"}
    codec.options, codec.thread_count = OPTIONS | own, 1


def packets(frames: Iterable[Any], size: Size, *, each_whole: bool) -> list[bytes]:
    """Packets of pictures in order; the first is whole, and with ``each_whole`` every one."""
    av = film_package("av")
    codec = av.CodecContext.create("libx264", "w")
    set_up(codec, size)
    codec.flags |= av.codec.context.Flags.global_header.value
    types = av.video.frame.PictureType
    made: list[bytes] = []
    count = 0
    for frame in frames:
        frame.pts, frame.time_base = count, TIME_BASE
        frame.pict_type = types.I if each_whole or count == 0 else types.NONE
        made += [bytes(packet) for packet in codec.encode(frame)]
        count += 1
    made += [bytes(packet) for packet in codec.encode(None)]
    if len(made) != count:
        raise RuntimeError(f"the encoder gave {len(made)} packets for {count} pictures")
    return made


def packed(made: Sequence[tuple[int, bytes]]) -> bytes:
    """Packets, each with a number, as one piece to be kept."""
    head = struct.pack(f"<I{2 * len(made)}I", len(made), *(n for at, packet in made for n in (at, len(packet))))
    return head + b"".join(packet for _, packet in made)


def unpacked(content: bytes) -> list[tuple[int, bytes]]:
    """What :func:`packed` put together."""
    (count,) = struct.unpack_from("<I", content)
    numbers = struct.unpack_from(f"<{2 * count}I", content, 4)
    made, begin = [], 4 + 8 * count
    for at, length in zip(numbers[::2], numbers[1::2], strict=True):
        made.append((at, content[begin : begin + length]))
        begin += length
    return made
