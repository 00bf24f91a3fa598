"""The sharpest frame of a video near a moment, as a JPEG.

A hand in motion, a focus that hunts and a shaken camera all blur a frame; of the frames near a moment the one with the most fine detail
is taken. Detail is measured as the variance of the Laplacian of the grey picture (Pech-Pacheco et al., Diatom autofocusing in brightfield
microscopy, ICPR 2000).
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from benchscribe.listen.media import moving_picture, opened

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

WIDEST: Final = 960
"""Pixels across of a still: as wide as a page of the guide shows it, twice over."""
_LOOKED_AT: Final = 320
"""Pixels across at which sharpness is compared: noise of the sensor counts for little there."""
_EVERY_S: Final = 0.2
"""Between the frames that are compared."""
_DARK: Final = 12.0
"""Mean grey, of 255, below which a frame shows nothing (a lens cap, a fade)."""
_QUALITY: Final = 4
"""Of the JPEG encoder, 2 (best) to 31."""


def sharpest_frame(path: Path, at_s: float, window_s: float) -> bytes | None:
    """Give the sharpest frame of a stretch of video as a JPEG.

    Args:
        path: The recording.
        at_s: Seconds from its start at which the stretch begins.
        window_s: How long the stretch is.

    Returns:
        The picture, at most 960 pixels wide; None where the file has no moving picture there, or it cannot be decoded.

    Raises:
        MediaError: The file cannot be opened at all.
    """
    import av

    with opened(path) as container:
        stream = moving_picture(container)
        if stream is None:
            return None
        stream.thread_type = "AUTO"
        try:
            best = _best(container, stream, at_s, at_s + window_s)
        except (av.error.FFmpegError, ValueError):
            return None
        return _jpeg(best) if best is not None else None


def _best(container: Any, stream: Any, begin_s: float, end_s: float) -> Any:  # noqa: ANN401 - PyAV's own types are not fully given
    import numpy as np

    base = stream.time_base or Fraction(1, 90_000)
    start = stream.start_time or 0
    container.seek(start + int(Fraction(max(begin_s, 0.0)) / base), stream=stream, backward=True)
    best, most, due = None, -1.0, begin_s
    for frame in container.decode(stream):
        if frame.pts is None:
            continue
        now = float((frame.pts - start) * base)
        if now > end_s:
            break
        if now + 1e-6 < due:
            continue
        due = now + _EVERY_S
        height = max(2, round(frame.height * _LOOKED_AT / max(frame.width, 1)))
        grey = frame.reformat(_LOOKED_AT, height, format="gray").to_ndarray().astype(np.float32)
        detail = sharpness(grey)
        if grey.mean() >= _DARK and detail > most:
            best, most = frame, detail
    return best


def sharpness(grey: NDArray[np.float32]) -> float:
    """Measure how much fine detail a grey picture has: the variance of its Laplacian.

    >>> import numpy as np
    >>> flat, edge = np.zeros((8, 8), np.float32), np.zeros((8, 8), np.float32)
    >>> edge[:, 4:] = 255
    >>> sharpness(flat), sharpness(edge) > 1000
    (0.0, True)
    """
    middle = grey[1:-1, 1:-1]
    around = grey[:-2, 1:-1] + grey[2:, 1:-1] + grey[1:-1, :-2] + grey[1:-1, 2:]
    return float((around - 4 * middle).var())


def _jpeg(frame: Any) -> bytes:  # noqa: ANN401 - as above
    import av

    frame = _upright(frame)
    width = min(frame.width, WIDEST)
    width -= width % 2
    height = round(frame.height * width / frame.width)
    height -= height % 2
    encoder: Any = av.CodecContext.create("mjpeg", "w")
    encoder.width, encoder.height, encoder.pix_fmt = width, height, "yuvj420p"
    encoder.time_base = Fraction(1, 25)
    encoder.options = {"qmin": str(_QUALITY), "qmax": str(_QUALITY)}
    picture = frame.reformat(width, height, format="yuvj420p")
    picture.pts = 0
    packets = [*encoder.encode(picture), *encoder.encode(None)]
    return b"".join(bytes(packet) for packet in packets)


def _upright(frame: Any) -> Any:  # noqa: ANN401 - as above
    """Turn a frame as the camera was held: a telephone writes a standing picture lying down, with a note."""
    import av
    import numpy as np

    turns = round(getattr(frame, "rotation", 0) / 90) % 4
    if not turns:
        return frame
    turned = np.ascontiguousarray(np.rot90(frame.to_ndarray(format="rgb24"), turns))
    return av.VideoFrame.from_ndarray(turned, format="rgb24")
