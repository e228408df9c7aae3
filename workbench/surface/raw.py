"""A camera's raw files, by an optional extra: linear, and as the sensor's own colours."""

from __future__ import annotations

import io
import warnings
from pathlib import PurePath

import numpy as np

from workbench import files
from workbench.colour.spaces import standard_profile
from workbench.errors import PictureError
from workbench.language import tr
from workbench.picture.opening import from_pixels
from workbench.picture.picture import Picture
from workbench.picture.tone import from_light

#: of raw files, lower case
ENDINGS = (".dng", ".nef", ".cr2", ".cr3", ".arw", ".orf", ".rw2", ".raf", ".pef")
EXTRA = "raw"
_MOST_BYTES = 2**29
# holds linear light finely enough in 16 bits
_SPACE = "sRGB"


def is_raw(path) -> bool:
    """Whether a file's name ends as those of raw files do."""
    return PurePath(str(path)).suffix.lower() in ENDINGS


def raw_photograph(path) -> Picture:
    """A raw file as a picture whose light is the sensor's, for measuring and not for printing.

    Nothing is balanced, brightened or turned: the sensor's three colours stand as they are in
    a space whose curve is known, so that its light is linear again where it is read.

    Parameters
    ----------
    path : of the file, at most 512 MB.

    Raises
    ------
    PictureError
        where the extra is not installed, and for files that cannot be read.
    """
    try:
        import rawpy
    except ImportError:
        raise PictureError(
            tr(
                "Raw files are read by an extra that is not installed: run “pip install rawpy” and open "
                "the file again, or develop it as a 16-bit TIFF."
            )
        ) from None
    data = files.read_regular(path, _MOST_BYTES, PictureError)
    name = files.clean_text(PurePath(str(path)).name)
    try:
        with warnings.catch_warnings(), rawpy.imread(io.BytesIO(data)) as raw:
            warnings.simplefilter("ignore")
            light = raw.postprocess(
                gamma=(1, 1), no_auto_bright=True, output_bps=16, use_camera_wb=False,
                use_auto_wb=False, user_wb=[1, 1, 1, 1], output_color=rawpy.ColorSpace.raw,
                demosaic_algorithm=rawpy.DemosaicAlgorithm.LINEAR, user_flip=0,
                highlight_mode=rawpy.HighlightMode.Clip, adjust_maximum_thr=0.0,
            )  # fmt: skip
    except (rawpy.LibRawError, ValueError, MemoryError) as problem:
        said = files.clean_text(str(problem)) or type(problem).__name__
        raise PictureError(
            tr(
                "“{name}” cannot be read as a raw file ({said}); develop it as a 16-bit TIFF.",
                name=name,
                said=said,
            )
        ) from None
    codes = from_light(light.astype(np.float32) / 65535, standard_profile(_SPACE))
    return from_pixels(codes, _SPACE, name=name)
