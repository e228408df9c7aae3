"""What a print file is made from: everything a person has decided, in one frozen value."""

from __future__ import annotations

import operator
import os
from dataclasses import dataclass, fields, replace
from typing import Any

from workbench.analysis.crop import Crop
from workbench.analysis.fit import as_borders
from workbench.analysis.sheets import MM_PER_INCH, positive
from workbench.analysis.size_answer import PrintSize
from workbench.colour.engine import check_intent
from workbench.decisions import DECISIONS, HIGHEST_PPI, LARGEST_MM, default_of
from workbench.errors import OutputError, SizeError
from workbench.language import tr
from workbench.output.adjust import as_adjustments
from workbench.output.toning import inside_gamut
from workbench.paper import Paper
from workbench.paper_readings import AnyPaper
from workbench.picture.picture import Picture
from workbench.planned import Planned
from workbench.printer import TYPICAL, Feed
from workbench.rendering import DEFAULTS

CONVERTS = tuple(value for value, _ in DECISIONS["converts"].choices)
BLEEDS = tuple(str(value) for value, _ in DECISIONS["bleed"].choices)


@dataclass(frozen=True)
class PrintJob:
    """A print to be written.

    Attributes
    ----------
    picture : a Picture.
    paper : a Paper; may be None where the driver converts.
    width_mm, height_mm : of the printed picture, without borders and bleed.  One is
        enough; with neither, every picture pixel becomes one print pixel.
    size_px : (width, height) of the same in print pixels where they are settled already;
        otherwise every length becomes the nearest whole number of pixels.
    ppi : pixels per inch at which print pixels are made.
    crop : (x, y, width, height) in pixels of the upright picture, a Crop, or None.
    borders_mm : bare paper around, one number or (top, right, bottom, left).
    sheet, on_sheet : a sheet's name or size; where ``on_sheet`` is true the file is as
        large as the sheet, with the picture centred inside the borders, or as far from
        there as ``moved_right_mm`` and ``moved_down_mm`` say and the printer's margins let it.
    feed : a `workbench.printer.Feed`: the edges that the printer leaves bare, and what it takes.
    bleed_mm : beyond each edge, to be cut away or to be stretched round a frame.
    bar_depth_mm : how much of that lies on the sides of the frame's bars.
    bleed : what it is made of: "mirrored" (the picture's edges mirrored), "stretched" (its
        outermost pixels drawn out), "picture" (its own outer part, which is then missing at
        the front) or "white".
    intent, black_point_compensation : of the conversion to the paper.
    converts : "workbench" (the file is in the paper's colours) or "driver" (it stays in
        the picture's own, with that profile embedded).
    bit_depth : 16 or 8; JPEG files always have 8.
    compression : None or "deflate", for TIFF files.
    sharpening : 0..1, "auto" or None.
    adjustments : `Adjustments`, a dict of their fields, or None.
    description : embedded in the file; None has one written.
    """

    picture: Picture
    paper: AnyPaper | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    size_px: tuple[int, int] | None = None
    ppi: float = 360.0
    crop: Any = None
    borders_mm: Any = 0.0
    sheet: Any = None
    feed: Feed = TYPICAL
    on_sheet: bool = False
    moved_right_mm: float = 0.0
    moved_down_mm: float = 0.0
    bleed_mm: float = 0.0
    bar_depth_mm: float = 0.0
    bleed: str = default_of("bleed")
    intent: str = DEFAULTS.intent
    black_point_compensation: bool = DEFAULTS.black_point_compensation
    converts: str = default_of("converts")
    bit_depth: int = default_of("bit_depth")
    compression: str | None = None
    sharpening: float | str | None = None
    adjustments: Any = None
    description: str | None = None

    @classmethod
    def from_plan(cls, plan: Planned, *, colours: bool = True) -> PrintJob:
        """The job that a plan, or anything with attributes of these names, describes.

        What it lacks, or holds as None, takes this class's default.  A plan that works out
        its own size (it has ``print_size()`` and ``printer_ppi``) has ``ppi`` for the
        picture's own pixels; its size, crop and the printer's resolution are taken.
        Without ``colours``, only lengths are checked: what can be laid out and priced, but
        perhaps not printed.

        Raises
        ------
        OutputError, SizeError, ProfileError, UntaggedPictureError
            for what cannot be printed; the message says what to change.
        """
        given = {}
        for field in fields(cls):
            value = getattr(plan, field.name, None)
            # an empty name is none
            if value is not None and value != "":
                given[field.name] = value
        if "picture" not in given:
            raise OutputError(tr("There is no picture to print yet; open one first."))
        if hasattr(plan, "print_size") and hasattr(plan, "printer_ppi"):
            given.update(_sized(plan.print_size()))
        job = cls(**given)
        return job.checked() if colours else job._measured()

    @property
    def moved_mm(self) -> tuple[float, float]:
        """How far right and down of the sheet's middle it is wanted."""
        return self.moved_right_mm, self.moved_down_mm

    @property
    def picture_name(self) -> str:
        """The picture's name, or that it has none."""
        return self.picture.name or tr("untitled picture")

    @property
    def converted_for(self) -> AnyPaper | None:
        """The paper whose colours the file is in; None where the driver converts."""
        return self.paper if self.converts == "workbench" else None

    def checked(self) -> PrintJob:
        """The same with every value checked and in its plainest form.  Raises as `from_plan`."""
        _check_opened(self.picture, self.paper)
        self.picture.require_profile()
        if self.description is not None and not isinstance(self.description, str):
            raise OutputError(
                tr("The description is text, not {description!r}.", description=self.description)
            )
        if self.converts not in CONVERTS:
            raise OutputError(
                tr(
                    "The colours are converted by the “workbench” or the “driver”, not "
                    "{converts!r}.",
                    converts=self.converts,
                )
            )
        if self.converts == "workbench" and self.paper is None:
            raise OutputError(
                tr(
                    "The workbench cannot convert the colours without a paper; choose one, or let "
                    "the printer driver convert."
                )
            )
        if self.converted_for is not None:
            _ = self.converted_for.profile  # a paper known by readings only says what it lacks
        if self.bit_depth not in (8, 16):
            raise OutputError(
                tr(
                    "A print file has 8 or 16 bits per channel, not {bit_depth!r}.",
                    bit_depth=self.bit_depth,
                )
            )
        if self.compression not in (None, "deflate"):
            raise OutputError(
                tr(
                    "A TIFF file is compressed with “deflate” or not at all, not {compression!r}.",
                    compression=self.compression,
                )
            )
        check_intent(self.intent)
        adjustments = as_adjustments(self.adjustments)
        if self.picture.channels == 1:  # which has no colours, so that nothing is said of them
            adjustments = replace(adjustments, warmth=0.0, chroma_gain=1.0)
        if isinstance(self.converted_for, Paper):
            adjustments = inside_gamut(
                adjustments, self.converted_for, self.intent, self.black_point_compensation
            )
        return replace(self._measured(), adjustments=adjustments)

    def _measured(self) -> PrintJob:
        """The same with every length checked."""
        if self.bleed not in BLEEDS:
            raise OutputError(
                tr(
                    "The bleed is {listed}, not {bleed!r}.",
                    listed=", ".join(BLEEDS),
                    bleed=self.bleed,
                )
            )
        if self.on_sheet and self.sheet is None:
            raise OutputError(
                tr("No sheet takes this print; choose one, or print without placing it on a sheet.")
            )
        return replace(
            self,
            width_mm=_length(self.width_mm, tr("width")),
            height_mm=_length(self.height_mm, tr("height")),
            ppi=positive(self.ppi, tr("printer's resolution"), unit="ppi", at_most=HIGHEST_PPI),
            size_px=_pixel_size(self.size_px),
            crop=_crop_box(self.crop, self.picture),
            borders_mm=as_borders(self.borders_mm),
            bleed_mm=_not_negative(self.bleed_mm, tr("bleed")),
            moved_right_mm=_either_way(self.moved_right_mm, tr("way to the right")),
            moved_down_mm=_either_way(self.moved_down_mm, tr("way down")),
            bar_depth_mm=_not_negative(self.bar_depth_mm, tr("depth of the bars")),
        )


def _check_opened(picture, paper) -> None:
    """A path is easily given for what lies there."""
    if not hasattr(picture, "require_profile"):
        raise OutputError(
            tr(
                "{picture!r:.60} is not a picture; open it with open_picture first.",
                picture=picture,
            )
        )
    named = isinstance(paper, (str, bytes, os.PathLike)) or not hasattr(paper, "name")
    if paper is not None and named:
        raise OutputError(
            tr("{paper!r:.60} is not a paper; open it with open_paper first.", paper=paper)
        )


def _sized(size: PrintSize) -> dict:
    fit = size.chosen or size.best_fit
    return {
        "sheet": None if fit is None else fit.sheet,
        "width_mm": size.width_mm,
        "height_mm": size.height_mm,
        "ppi": size.printer_ppi,
        "size_px": _front_px(size),
        "bleed_mm": size.bleed_mm,
        "crop": size.crop,
        "borders_mm": size.borders,
    }


def _front_px(size: PrintSize) -> tuple[int, int]:
    # what all of it takes is settled: a front rounded by itself would have it resampled by a pixel
    beyond = 2 * round(size.own_bleed_mm / MM_PER_INCH * size.printer_ppi)
    target = size.resampling
    return max(1, target.target_width_px - beyond), max(1, target.target_height_px - beyond)


def _length(value, name: str) -> float | None:
    return None if value is None else positive(value, name, unit="mm", at_most=LARGEST_MM)


def _not_negative(value, name: str) -> float:
    return 0.0 if value == 0 else positive(value, name, unit="mm", at_most=LARGEST_MM)


def _either_way(value, name: str) -> float:
    return -_not_negative(-value, name) if value < 0 else _not_negative(value, name)


def _pixel_size(size_px) -> tuple[int, int] | None:
    if size_px is None:
        return None
    try:
        width, height = (operator.index(side) for side in size_px)
    except (TypeError, ValueError):
        width = height = 0
    if min(width, height) < 1:
        raise SizeError(
            tr("A size in pixels is two whole numbers above 0, not {size_px!r}.", size_px=size_px)
        )
    return width, height


def _crop_box(crop, picture: Picture) -> tuple[int, int, int, int]:
    if crop is None:
        return 0, 0, picture.width_px, picture.height_px
    box = crop.box_px if isinstance(crop, Crop) else crop
    try:
        x, y, width, height = (int(v) for v in box)
        whole = all(float(a) == b for a, b in zip(box, (x, y, width, height), strict=True))
    except (TypeError, ValueError, OverflowError):
        whole = False
    if not whole:
        raise SizeError(
            tr("A crop is four whole numbers (x, y, width, height), not {crop!r}.", crop=crop)
        )
    inside = x >= 0 and y >= 0 and x + width <= picture.width_px and y + height <= picture.height_px
    if width < 1 or height < 1 or not inside:
        raise SizeError(
            tr(
                "The crop of {width} × {height} pixels at {x}, {y} does not lie in the "
                "picture's {across} × {down}.",
                width=width,
                height=height,
                x=x,
                y=y,
                across=picture.width_px,
                down=picture.height_px,
            )
        )
    return x, y, width, height
