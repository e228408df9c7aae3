"""Everything a person decides about a print: one declaration each.

Limits, units, defaults and labels stand here and nowhere else.  The plan's traits, the
rules of plan files, the panels' knobs and the defaults of the analyses are made from
them, so that what one accepts no other refuses.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from workbench.errors import PlanError
from workbench.files.text import clean_lines, clean_text
from workbench.files.text import shown_value as shown

#: Written in files for None.
NONE = "none"
#: Beyond this a size is taken for a slip of the unit.
LARGEST_MM = 50_000.0
FARTHEST_MM = 1e6
HIGHEST_PPI = 10_000.0
LONGEST_NOTE = 10_000


@dataclass(frozen=True)
class Decision:
    """One thing that a person decides.

    Attributes
    ----------
    name : of the plan's trait and of the parameters that take it.
    default : what a new plan, every panel and every function begins with.
    section : of the plan file.
    label : beside its knob.
    help : what it does, in a sentence for the knob's tip.
    about : what it is, in a few words for the plan file; the label by default.
    unit : of the number, as it is shown; "mm" is shown in the person's own unit.
    low, high : what a number may be, both included.
    above : whether a number must lie above ``low``.
    choices : (value, words) to choose from.
    slider : (low, high, step) of the knob; what else is allowed may be typed.
    by_ratio : the slider's steps are ratios, as an eye tells light apart.
    optional : None stands for "not known" or "none".
    whole : only whole numbers.
    saved : whether plan files have it as a key of its own.
    """

    name: str
    default: object
    section: str = ""
    label: str = ""
    help: str = ""
    about: str = ""
    unit: str = ""
    low: float = 0.0
    high: float = math.inf
    above: bool = False
    choices: tuple[tuple[object, str], ...] = ()
    slider: tuple[float, float, float] | None = None
    by_ratio: bool = False
    optional: bool = False
    whole: bool = False
    saved: bool = True
    rule: Callable | None = None

    def check(self, value):
        """The value as the plan holds it.

        Raises
        ------
        PlanError
            in a sentence, if it is not one that this decision can have.

        Examples
        --------
        >>> DECISIONS["threshold"].check(3)
        3.0
        >>> DECISIONS["threshold"].check(90)
        Traceback (most recent call last):
            ...
        workbench.errors.PlanError: “threshold” lies between 0.1 and 50; “90” does not.
        """
        if self.rule is not None:
            return self.rule(self, value)
        if self.choices:
            return self._one_of(value)
        if value is None and self.optional:
            return None
        if isinstance(self.default, bool):
            return self._flag(value)
        if isinstance(self.default, str):
            return self._text(value)
        return self._number(value)

    def nearest(self, value):
        """The value, or the nearest number that this decision can have.  Raises as `check`."""
        number = as_number(value)
        if number is None or self.choices or not number < math.inf:
            return self.check(value)
        return self.check(min(max(number, self.low), self.high))

    def plain(self, value):
        """A value as files have it: "none" where None says so, None to leave the key out."""
        return value if value is not None or self.optional else NONE

    @property
    def comment(self) -> str:
        """What it is, with all there is to choose from, on one line of a file."""
        about = self.about or f"{self.label[0].lower()}{self.label[1:]}"
        if not self.choices:
            return about
        offered = (self.plain(each) for each, _ in self.choices)
        texts = (f'"{each}"' if isinstance(each, str) else f"{each}" for each in offered)
        return f"{about}: {', '.join(texts)}"

    def words(self, value) -> str:
        """A choice as people read it; other values as they are."""
        return next((words for each, words in self.choices if each == value), str(value))

    def _one_of(self, value):
        for each, _ in self.choices:
            # true is not 1, and 8.0 is not 8
            if type(value) is type(each) and value == each:
                return each
        offered = [each for each, _ in self.choices]
        if value == NONE and None in offered:
            return None
        names = ", ".join(NONE if each is None else str(each) for each in offered)
        raise PlanError(f"“{self.name}” is one of {names}, not {shown(value)}.")

    def _flag(self, value) -> bool:
        if not isinstance(value, bool):
            raise PlanError(f"“{self.name}” is true or false, not {shown(value)}.")
        return value

    def _text(self, value) -> str:
        if not isinstance(value, str):
            raise PlanError(f"“{self.name}” takes text in quotes, not {shown(value)}.")
        return clean_text(value)

    def _number(self, value):
        number = as_number(value)
        if number is None or (self.whole and math.isfinite(number) and number != int(number)):
            kind = "a whole number" if self.whole else "a number"
            raise PlanError(f"“{self.name}” takes {kind}, not {shown(value)}.")
        above_low = number > self.low if self.above else number >= self.low
        if not (above_low and number <= self.high):
            least = f"above {self.low:g} and at most" if self.above else f"between {self.low:g} and"
            raise PlanError(f"“{self.name}” lies {least} {self.high:g}; {shown(value)} does not.")
        return int(number) if self.whole else number


def as_number(value) -> float | None:
    """A float for anything that is a number, None for the rest; too large is infinite."""
    if isinstance(value, (bool, str, bytes)) or value is None:
        return None
    try:
        return float(value)
    except OverflowError:
        return math.inf
    except (TypeError, ValueError):
        return None


def _sharpening(decision: Decision, value):
    if value == NONE or value is None:
        return None
    if isinstance(value, str):
        if value == "auto":
            return value
        raise PlanError(f"“sharpening” is “auto”, “none” or a number 0 to 1, not {shown(value)}.")
    return decision._number(value)


def _distance(decision: Decision, value):
    # plans of before had 0 for the usual distance
    return decision._number(decision.default if as_number(value) == 0 else value)


def _any(decision: Decision, value):
    return value


def _notes(decision: Decision, value) -> str:
    if not isinstance(value, str):
        raise PlanError(f"“notes” takes text in quotes, not {shown(value)}.")
    if len(value) > LONGEST_NOTE:
        raise PlanError(
            f"“notes” is {len(value):,} characters long; {LONGEST_NOTE:,} is the most it takes."
        )
    return clean_lines(value)


_ROLL = re.compile(r"\d+(\.\d+)? ?(mm|cm|in)( roll)?")


def _rolls(decision: Decision, value) -> str:
    rolls = [roll.strip() for roll in decision._text(value).split(",")]
    for roll in filter(None, rolls):
        if not _ROLL.fullmatch(roll):
            raise PlanError(
                f"“{decision.name}” takes widths with their unit and commas between them, such as "
                f"17 in, 61 cm; {shown(roll)} is not one."
            )
    return ", ".join(filter(None, rolls))


_INTENT_WORDS = {
    "relative": "relative colorimetric",
    "perceptual": "perceptual",
    "saturation": "saturation",
    "absolute": "absolute colorimetric",
}

_ALL = (
    # size -------------------------------------------------------------------
    Decision(
        "size_from", "ppi", "size", "What decides the size",
        "The one you choose is kept; the others follow from it and the pixels",
        choices=(
            ("ppi", "the resolution you choose"),
            ("size", "the length of the long side"),
            ("sheet", "the sheet, filled inside its borders"),
            ("opening", "the opening of a mount that you have"),
            ("viewing distance", "the viewing distance: as large as stays sharp"),
        ),
    ),
    Decision(
        "ppi", 360.0, "size", "Picture resolution",
        "Pixels of the picture on each inch of paper",
        about="picture pixels per inch of paper",
        unit="ppi", high=HIGHEST_PPI, above=True, slider=(60, 720, 1),
    ),
    Decision(
        "long_side_mm", 400.0, "size", "Long side", "Of the print, without borders",
        about="long side of the printed picture",
        unit="mm", high=LARGEST_MM, above=True, slider=(50, 1500, 0.1),
    ),
    Decision(
        "sheet", "", "size", "Sheet or roll",
        "Cut sheets and rolls; 40 x 60 cm and the like may be typed",
        about='such as "A3" or "24 in roll"; "" takes what fits',
    ),
    Decision(
        "viewing_distance_mm", 2000.0, "size", "Viewing distance",
        "From the eye to the print across the room; what is seen in the hand and at arm's length "
        "is given as well",
        about="from the eye to the print across the room",
        unit="mm", high=FARTHEST_MM, above=True, slider=(300, 6000, 0.1), rule=_distance,
    ),
    Decision(
        "region", "", "size", "Sheets sold where you are",
        "The smallest that fits is looked for among these; every other sheet can be chosen too",
        choices=(
            ("", "A sizes and inches"),
            ("centimetres", "A sizes, and sheets in centimetres"),
            ("inches", "letter, ledger, and sheets in inches"),
            ("everything", "all there are, B and architects' sizes too"),
        ),
    ),
    Decision(
        "feed_path", "auto", "size", "Way through the printer",
        "Thick sheets go in from the rear or the front and may need wider margins; borderless prints "
        "run over the edge, if the printer can",
        choices=(
            ("auto", "by the paper's thickness"),
            ("usual", "the usual feed"),
            ("thick", "the rear or front feed, for thick sheets"),
            ("borderless", "borderless, over the edge"),
        ),
    ),
    Decision(
        "printer_ppi", 360.0, "size", "Printer's own resolution",
        "What the printer works at; most photo printers belong to the 360 or the 300 ppi class",
        unit="ppi", high=HIGHEST_PPI, above=True,
    ),
    Decision(
        "crop_ratio", "", "size", "Crop to",
        "Width to height",
        about='such as "5:4"; "" keeps the whole picture',
    ),
    Decision(
        "crop_across", 0.5, "size", "Crop from the left",
        "Which part is kept; the picture can be dragged in the drawing too",
        about="0 keeps the left of the picture, 1 the right", high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "crop_down", 0.5, "size", "Crop from the top",
        "Which part is kept; the picture can be dragged in the drawing too",
        about="0 keeps the top of the picture, 1 the bottom", high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "border_mm", 0.0, "size", "White border",
        "Bare paper on every side, at the least; 0 prints to the edge",
        about="white border on every side",
        unit="mm", high=LARGEST_MM, slider=(0, 150, 0.1),
    ),
    Decision(
        "bottom_weight_mm", 0.0, "size", "Wider below by",
        "A picture in the very middle seems to sink; with more paper below it seems to rest "
        "(common practice, no source)",
        about="how much wider the white border is below",
        unit="mm", high=LARGEST_MM, slider=(0, 40, 0.1),
    ),
    Decision(
        "mount_opening", "", "size", "Mount opening",
        "Of the mount that you have, such as 28 x 38 cm; it is turned as the picture is",
        about='such as "28 x 38 cm"',
    ),
    Decision(
        "mount_overlap_mm", 0.0, "size", "Covered by a mount",
        "On each side of the picture; 3 to 5 mm is usual (common practice, no source), 0 without "
        "a mount",
        about="what a mount covers of the picture on each side; 0 without one",
        unit="mm", high=LARGEST_MM, slider=(0, 20, 0.1),
    ),
    Decision(
        "unit", "cm", "size", "Show sizes in", "cm, mm or inches",
        choices=(("cm", "cm"), ("mm", "mm"), ("in", "inches")),
    ),
    # colour -------------------------------------------------------------------
    Decision(
        "converts", "workbench", "colour", "Who converts the colours",
        "Only one of the two may: what is converted twice comes out wrong",
        choices=(
            ("workbench", "the workbench, here"),
            ("driver", "the printer driver, later"),
        ),
    ),
    Decision(
        "intent", "relative", "colour", "Rendering intent",
        "How colours that the paper cannot hold are brought into it",
        choices=tuple(_INTENT_WORDS.items()),
    ),
    Decision(
        "black_point_compensation", True, "colour", "Black point compensation",
        "Fit the picture's blacks to the paper's, so that shadows do not merge",
    ),
    Decision(
        "threshold", 2.0, "colour", "Out-of-gamut threshold",
        "How far a colour must lie outside the paper's gamut to count; 1 is about the smallest "
        "difference seen side by side, 5 is plain to see",
        unit="CIEDE2000", low=0.1, high=50.0, slider=(0.5, 20, 0.1),
    ),
    # file -----------------------------------------------------------------------
    Decision(
        "sharpening", "auto", "file", "Sharpening for print",
        "Enlarged pixels and ink that spreads in paper soften a print; sharpening makes up for "
        "both. Its width is always matched; you may set its strength",
        about='"auto", "none" or 0 to 1', low=0.0, high=1.0, rule=_sharpening,
    ),
    Decision(
        "bit_depth", 16, "file", "Bits per channel",
        "16 bits keep more steps than an eye or a printer can tell apart; with 8, noise of one step "
        "hides where they end",
        choices=((16, "16: soft gradients stay smooth"), (8, "8, dithered")),
    ),
    Decision(
        "compression", None, "file", "Compression of the TIFF",
        "Smaller files that take longer; every pixel stays as it is",
        choices=((None, "none"), ("deflate", "deflate, without loss")),
    ),
    Decision(
        "on_sheet", False, "file", "The file is as large as the sheet",
        "Ticked, the picture lies in the middle of the sheet; otherwise the file ends where the "
        "borders end",
    ),
    Decision(
        "bar_depth_mm", 0.0, "file", "Depth of the bars",
        "Of the frame that a canvas is stretched on; the canvas goes round its sides. 0 where it is "
        "not stretched",
        about="of the bars that a canvas is stretched on; 0 where it is not stretched",
        unit="mm", high=LARGEST_MM, slider=(0, 60, 0.1),
    ),
    Decision(
        "bleed_mm", 0.0, "file", "Bleed beyond each edge",
        "To be cut away, or folded behind the bars of a stretched canvas: 20 to 30 mm is usual "
        "there (common practice, no source)",
        about="beyond each edge, or behind the bars; to cut away or to fold",
        unit="mm", high=LARGEST_MM, slider=(0, 100, 0.1),
    ),
    Decision(
        "bleed", "mirrored", "file", "Filled beyond the edges with",
        "Mirrored or stretched edges keep all of the picture at the front; its own outer part is "
        "then missing there",
        choices=(
            ("mirrored", "the picture's edges, mirrored"),
            ("stretched", "its outermost pixels, drawn out"),
            ("picture", "the picture's own outer part"),
            ("white", "white"),
        ),
    ),
    Decision(
        "description", "", "file", "Description inside the file",
        "A line that other programs show; left empty, it names picture and paper",
        about='embedded in the file; "" has one written',
    ),
    # seeing -----------------------------------------------------------------------
    Decision(
        "adaptation", 1.0, "seeing", "Adaptation to paper white",
        "0 %: a whiter sheet lies beside the print, and the eye keeps to it. 100 %: the print "
        "hangs alone under one light, and its paper passes for white.",
        about="0 side by side with the reference white, 1 adapted to the paper",
        high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "reference", None, "seeing", "Seen beside",
        "The white sheet that lies beside the print, against which its white is judged; alone, the eye "
        "takes the print's own white for white",
        optional=True, rule=_any, saved=False,
    ),
    Decision(
        "white_wish", "any", "seeing", "White that you prefer",
        "A paper's tint is a choice, not a fault; it counts in a comparison only where you say so",
        choices=(
            ("any", "any"),
            ("neutral", "neutral"),
            ("cool", "cool"),
            ("warm", "warm"),
        ),
    ),
    Decision(
        "display", "sRGB", "seeing", "Display",
        "What shows the proof: your screen's kind of colours, or its own profile",
        rule=_any, saved=False,
    ),
    Decision(
        "screen_ppi", None, "seeing", "Resolution of your screen",
        "Pixels per inch, as in the screen's data sheet; or measure it in the full window, with a "
        "bank card held against the screen",
        unit="ppi", low=10.0, high=2000.0, optional=True,
    ),
    Decision(
        "highlight_lightness", 90.0, "seeing", "Highlights begin above",
        "Parts of the print that are lighter than this take the paper's tint; 100 is the bare "
        "paper",
        unit="L*, relative", low=50.0, high=99.0, slider=(50, 99, 0.5),
    ),
    Decision(
        "tolerance", 1.0, "seeing", "Greys merge when closer than",
        "How far two greys must lie apart to be told from each other; about 1 is just "
        "noticeable side by side",
        unit="CIEDE2000", low=0.1, high=5.0, slider=(0.3, 3, 0.1),
    ),
    # light --------------------------------------------------------------------------
    Decision(
        "illuminance_lux", 500.0, "light", "Light on the print",
        "Measured where the print hangs, in front of its glass, facing the room",
        unit="lux", low=1.0, high=200_000.0, slider=(20, 5000, 0.02), by_ratio=True,
    ),
    Decision(
        "light", "D50", "light", "Colour of the light",
        "A colour temperature from 2000 to 10000 K, or a CIE illuminant",
        about="an illuminant or a colour temperature in kelvin",
    ),
    Decision(
        "glass", "", "light", "Glass before the print",
        "Takes some light, and mirrors the room over the print",
        about='name of the glass before the print; "" for none',
    ),
    Decision(
        "room_share", None, "light", "Mirrored room",
        "How bright the wall and windows opposite are that you see in glass and gloss: 100 % is "
        "as bright as a white sheet held before the print",
        about="what glass and gloss mirror, over a white sheet; left out, the usual",
        high=5.0, slider=(0, 1, 0.01), optional=True,
    ),
    Decision(
        "wall_reflectance", 0.5, "light", "Wall around the print",
        "How much of the light it sends back: white paint 80 to 90 %, grey 20 to 50 %, a dark "
        "wall 5 to 10 % (common practice, no source)",
        about="how much of the light the wall sends back",
        low=0.01, high=0.95, slider=(0.02, 0.95, 0.01),
    ),
    Decision(
        "lamp_azimuth_deg", 135.0, "light", "Lamp's side",
        "From where it shines: 0° from the right, 90° from above, 180° from the left",
        about="from where a lamp shines on the sheet: 0 right, 90 above, 180 left",
        unit="°", high=360.0, slider=(0, 360, 1),
    ),
    Decision(
        "lamp_elevation_deg", 30.0, "light", "Lamp's height",
        "Above the sheet: 90° shines straight down on it, 10° grazes it and shows every fibre",
        about="a lamp's angle above the sheet",
        unit="°", low=1.0, high=90.0, slider=(5, 90, 1),
    ),
    Decision(
        "even_light", 0.2, "light", "Even light",
        "The share of the light that comes from everywhere, as from a white room",
        about="share of the light on the sheet that comes from everywhere",
        high=1.0, slider=(0, 1, 0.01),
    ),
    Decision(
        "screen_luminance_cd_m2", 0.0, "light", "Your screen's white",
        "As measured, or as set when the screen was calibrated; 0 where it is not known",
        about="of the screen's white; 0 where not known",
        unit="cd/m²", high=10_000.0, slider=(30, 1000, 0.02), by_ratio=True,
    ),
    Decision(
        "screen_contrast_ratio", 1000.0, "light", "Your screen's contrast",
        "White over black; 1000 is usual for screens with a backlight (common practice, no "
        "source); 0 where it is not known",
        about="of the screen; 0 where not known", unit=":1", high=10_000_000.0,
    ),
    # printer ------------------------------------------------------------------------
    Decision("printer_name", "", "printer", "Printer", "What you call it"),
    Decision(
        "printer_width_mm", 0.0, "printer", "Widest sheet or roll",
        "That goes into the printer; 0 where it is not known",
        about="widest sheet or roll that it takes; 0 where not known",
        unit="mm", high=LARGEST_MM, slider=(0, 1700, 0.1),
    ),
    Decision(
        "printer_length_mm", 0.0, "printer", "Longest print",
        "That the printer and its driver take, on rolls too; 0 where it is not known",
        about="longest print that it takes; 0 where not known",
        unit="mm", high=LARGEST_MM, slider=(0, 20000, 0.1),
    ),
    Decision(
        "printer_rolls", "", "printer", "Rolls it takes",
        "Their widths, with commas; left empty, all that are not wider than the printer takes",
        about='widths of rolls, such as "17 in, 24 in"; "" for all that are not wider',
        rule=_rolls,
    ),
    *(
        Decision(
            f"{name}_mm", least, "printer", label,
            f"{where}; in the printer's manual, or measured on a print that reaches to the "
            f"edges. Not known: {least:g} mm is typical (common practice, no source)",
            about=f"{where[0].lower()}{where[1:]}",
            unit="mm", high=500.0, slider=(0, 50, 0.1),
        )
        for name, least, label, where in (
            ("margin_left", 3.0, "Margin on the left",
             "What it leaves bare on the left, seen as the sheet goes in"),
            ("margin_right", 3.0, "Margin on the right",
             "What it leaves bare on the right, seen as the sheet goes in"),
            ("margin_leading", 3.0, "Margin where the sheet goes in",
             "What it leaves bare at the edge that goes in first"),
            ("margin_trailing", 3.0, "Margin at the sheet's end",
             "What it leaves bare at the edge that goes in last"),
            ("thick_leading", 3.0, "Thick sheets: where they go in",
             "What it leaves bare at the first edge of sheets fed from the rear or the front"),
            ("thick_trailing", 20.0, "Thick sheets: at their end",
             "What it leaves bare at the last edge of sheets fed from the rear or the front"),
        )
    ),
    Decision(
        "thick_from_mm", 0.35, "printer", "Thick from",
        "Papers of this thickness and more take the rear or front feed; 0.35 mm is a usual limit "
        "(common practice, no source)",
        about="thickness from which a paper takes the rear or front feed",
        unit="millimetres", low=0.0, high=20.0,
    ),
    Decision(
        "thickest_mm", 0.0, "printer", "Thickest paper",
        "That the printer's thickest feed takes; 0 where it is not known",
        about="thickest paper that it takes; 0 where not known",
        unit="millimetres", high=20.0,
    ),
    # edition ------------------------------------------------------------------------
    Decision(
        "copies", 1, "edition", "Copies of the edition",
        "How many prints the price and the job sheet are worked out for",
        about="prints of the edition", low=1, high=1_000_000, whole=True,
    ),
    Decision(
        "ink_ml_per_m2", None, "edition", "Ink on an average picture",
        "What the printer lays down on a square metre of a picture that is neither dark nor light; "
        "this picture's own colours make it more or less. 0 where not known",
        about="millilitres of ink to the square metre; left out, not known",
        unit="ml/m²", high=1e9, optional=True,
    ),
    Decision(
        "ink_price_per_ml", None, "edition", "Price of ink",
        "A cartridge's price divided by its millilitres; 0 where not known",
        about="in the paper's currency; left out, not known",
        unit="per ml", high=1e9, optional=True,
    ),
    Decision(
        "test_strips", 0, "edition", "Test strips",
        "Printed before the edition; each takes a page of A5 and its ink",
        about="strips printed before the edition", low=0, high=1000, whole=True,
    ),
    Decision(
        "reject_share", 0.0, "edition", "Prints that fail",
        "Of all that are printed: marked, creased, or not as they should be",
        about="share of all prints that fail", high=0.9, slider=(0, 0.5, 0.01),
    ),
    Decision("notes", "", "edition", "Notes for the job sheet",
             "Your own words to whoever stands at the printer", about="your own", rule=_notes),
)  # fmt: skip

#: name -> its declaration, in the order of plan files
DECISIONS: dict[str, Decision] = {each.name: each for each in _ALL}


def _handle(name: str, label: str, lightness: int) -> Decision:
    return Decision(
        name, 0.0, "adjustments", label,
        f"How much lighter tones of L* {lightness} become, and those around them in part; black and "
        "white stay as they are",
        about=f"L* by which L* {lightness} becomes lighter", unit="L*", low=-25.0, high=25.0,
        slider=(-12, 12, 0.1),
    )  # fmt: skip


def _tint(name: str, label: str, where: str) -> tuple[Decision, Decision]:
    return (
        Decision(
            f"{name}_hue", 0.0, "adjustments", f"{label}: hue",
            f"Lab hue of the toning in the {where}: 0° is pink, 90° yellow, 180° green, 270° blue",
            about="Lab hue in degrees", unit="°", high=360.0, slider=(0, 360, 5),
        ),
        Decision(
            f"{name}_chroma", 0.0, "adjustments", f"{label}: chroma",
            f"How colourful the {where} become; held to what the paper can print; 0 leaves them "
            "neutral",
            about="Lab chroma; 0 is neutral", high=40.0, slider=(0, 30, 1),
        ),
    )  # fmt: skip


#: What may be accepted for one paper, each with its limits; 0 is none.
ADJUSTMENTS: dict[str, Decision] = {
    each.name: each
    for each in (
        _handle("deep_shadows", "Deep shadows (L* 5)", 5),
        _handle("shadows", "Shadows (L* 12)", 12),
        _handle("dark_tones", "Dark tones (L* 25)", 25),
        _handle("mid_tones", "Middle tones (L* 50)", 50),
        _handle("light_tones", "Light tones (L* 75)", 75),
        _handle("highlights", "Highlights (L* 90)", 90),
        Decision(
            "warmth", 0.0, "adjustments", "Warmth",
            "How much warmer a middle grey becomes; below 0, cooler. Black and white stay as they "
            "are. It does nothing to a print in black and white: tone that instead",
            about="b* of a middle grey; above 0 is warmer", unit="b*", low=-8.0, high=8.0,
            slider=(-8, 8, 0.5),
        ),
        Decision(
            "black_and_white", "off", "adjustments", "Black and white",
            "Prints without the picture's colours: by its lightness, or by a mix of its channels "
            "that you choose, as a coloured filter before the lens would",
            choices=(
                ("off", "Off: the picture's colours"), ("lightness", "By the picture's lightness"),
                ("mix", "By a mix of its channels"),
            ),
        ),
        *(
            Decision(
                f"mix_{channel}", share, "adjustments", f"Mix: {channel}",
                f"How much the light of the {channel} channel counts; the three are taken in "
                "proportion",
                about=f"share of {channel} in the mix", high=1.0, slider=(0, 1, 0.05),
            )
            for channel, share in (("red", 0.3), ("green", 0.6), ("blue", 0.1))
        ),
        *_tint("shadow", "Toning of shadows", "shadows"),
        *_tint("highlight", "Toning of highlights", "highlights"),
    )
}  # fmt: skip

#: The sections of plan files in the order of writing, with what they are about.
SECTIONS = {
    "size": "How large, and on which sheet",
    "colour": "How the colours come to the paper",
    "adjustments": "What was accepted for this paper; 0 is none",
    "file": "How the file is made",
    "seeing": "How the print is looked at on the desk",
    "light": "The light that it hangs in, and the screen beside it",
    "printer": "Your printer: what it takes, and what it cannot print on",
    "edition": "How many, what they cost, and your notes",
}
