"""A film picture in the colours films are stored in, put together from painted parts.

Most of a picture is the same as in the one before. So each part is painted and converted once and copied in where it is
needed, which is many times faster than converting whole pictures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from haleward.render.sound import film_package

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class Box:
    """A part of the picture in pixels. All four are even, because two by two pixels share a colour."""

    left: int
    top: int
    width: int
    height: int


@dataclass(frozen=True)
class Size:
    """A film size. ``split`` is the row where the strip begins: a multiple of 16, the encoder's own block.

    ``quantiser`` is how coarsely the encoder may store, ``preset`` and ``search`` how hard it looks for a short way to
    store it: the small film is for slow internet, the large one is to be there soon.
    """

    name: str
    width: int
    height: int
    split: int
    quantiser: int
    preset: str
    search: str

    def box(self, left: float, top: float, right: float, bottom: float | None = None) -> Box:
        """The box between places given in units; without a bottom it ends at the split."""
        scale = self.width / UNITS
        x, y = _even(left * scale), _even(top * scale)
        below = self.split if bottom is None else _even(bottom * scale)
        return Box(x, y, min(_even(right * scale), self.width) - x, below - y)

    @property
    def strip(self) -> Box:
        """All below the split."""
        return Box(0, self.split, self.width, self.height - self.split)


BT709 = 1  # the colours of high-definition television, as the converter counts them
UNITS = 1280  # everything is laid out on a picture this wide
SIZES = {
    "large": Size("large", 1280, 720, 592, 22, "ultrafast", "me=hex:subme=1"),
    "small": Size("small", 854, 480, 400, 28, "veryfast", "me=hex:subme=2"),
}


@dataclass(frozen=True)
class Part:
    """Painted and converted pixels of a box: brightness, and two colours at half the size."""

    box: Box
    planes: tuple[Pixels, Pixels, Pixels]


class Planes:
    """One picture; what was put in stays until something else is put there."""

    def __init__(self, size: Size) -> None:
        self._frame = film_package("av").VideoFrame(size.width, size.height, "yuv420p")
        self._planes = [_pixels(plane) for plane in self._frame.planes]
        for plane in self._planes:
            plane[:] = 0

    def put(self, part: Part) -> None:
        """Copy a part in."""
        box = part.box
        for plane, pixels, step in zip(self._planes, part.planes, (1, 2, 2), strict=True):
            top, left = box.top // step, box.left // step
            plane[top : top + box.height // step, left : left + box.width // step] = pixels

    def frame(self) -> Any:
        """The picture as a frame for the encoder: the same one each time, so it is used before the next part comes."""
        return self._frame


def painted(box: Box, paint: Callable[[Any], object]) -> Part:
    """What ``paint`` leaves on a canvas as large as the box, whatever was on it before."""
    frame, surface = _sheet(box.width, box.height)
    canvas = surface.getCanvas()
    canvas.save()
    paint(canvas)
    canvas.restore()
    made = _converter(box.width, box.height)(frame, format="yuv420p", dst_colorspace=BT709, threads=1)
    y, u, v = (np.array(_pixels(plane)) for plane in made.planes)
    return Part(box, (y, u, v))


@cache
def _sheet(width: int, height: int) -> tuple[Any, Any]:
    """A frame, and the surface that paints straight into it: one of each size, because new ones take long."""
    skia, frame = film_package("skia"), film_package("av").VideoFrame(width, height, "rgba")
    plane, info = frame.planes[0], skia.ImageInfo.Make(width, height, skia.kRGBA_8888_ColorType, skia.kPremul_AlphaType)
    return frame, skia.Surface.MakeRasterDirect(info, np.frombuffer(plane, np.uint8), plane.line_size)


def as_painted(frame: Any) -> Pixels:
    """A picture back in red, green and blue."""
    made = _converter(frame.width, frame.height)(frame, format="rgba", src_colorspace=BT709, threads=1)
    return np.ascontiguousarray(made.to_ndarray())


def _pixels(plane: Any) -> Pixels:
    """The pixels of a plane, not a copy."""
    return np.frombuffer(plane, np.uint8).reshape(plane.height, plane.line_size)[:, : plane.width]


@cache
def _converter(_width: int, _height: int) -> Callable[..., Any]:
    """One converter for each size: setting one up takes longer than using it.

    It is used with one thread. Several write over each other's first pixels, and then no two pictures are the same.
    """
    reformatter = film_package("av").video.reformatter.VideoReformatter()
    return reformatter.reformat  # type: ignore[no-any-return]


def _even(pixels: float) -> int:
    return round(pixels / 2) * 2
