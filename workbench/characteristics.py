"""What a person knows of a sheet: one declaration for each characteristic.

Papers, shelf, plan files, forms, job sheets and comparisons take names, limits, units,
words and order from here.  The order is that of finding out: what stands on the packet,
what hand and eye tell, what the printer is set to, what lies in the drawer.  Before all
of it comes what only a profile tells; see `workbench.paper.PaperFacts`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, fields

from workbench.decisions import LONGEST_NOTE
from workbench.errors import PaperError
from workbench.files.text import clean_lines, clean_text
from workbench.files.text import shown_value as shown
from workbench.language import numeral, tr

# what a person is offered; anything else may be typed (common practice, no source).  Files
# hold these words as they stand here, people read them as `word_of` has them
BASES = ("resin-coated", "baryta", "cotton", "cellulose", "plant fibre", "canvas")
FINISHES = ("gloss", "satin", "matte")
# invented spectra, see workbench.surface.kinds
SURFACES = ("smooth", "fine grain", "cold-pressed", "laid", "canvas", "pearl", "gloss")
SURFACE_TEXTURES = ("smooth", "light texture", "heavy texture")
COATED_SIDES = ("one side", "both sides")
CURLS = ("lies flat", "curls a little", "curls strongly")
BLACK_INKS = ("photo black", "matte black")
_WORDS = {
    "resin-coated": tr("resin-coated"),
    "baryta": tr("baryta"),
    "cotton": tr("cotton"),
    "cellulose": tr("cellulose"),
    "plant fibre": tr("plant fibre"),
    "canvas": tr("canvas"),
    "gloss": tr("gloss"),
    "satin": tr("satin"),
    "matte": tr("matte"),
    "smooth": tr("smooth"),
    "fine grain": tr("fine grain"),
    "cold-pressed": tr("cold-pressed"),
    "laid": tr("laid"),
    "pearl": tr("pearl"),
    "flat": tr("flat"),
    "light texture": tr("light texture"),
    "heavy texture": tr("heavy texture"),
    "one side": tr("one side"),
    "both sides": tr("both sides"),
    "lies flat": tr("lies flat"),
    "curls a little": tr("curls a little"),
    "curls strongly": tr("curls strongly"),
    "photo black": tr("photo black"),
    "matte black": tr("matte black"),
}

#: hours that a print dries where the person does not say (common practice, no source)
DRYING_HOURS = 24.0
_MOST_SIZES = 100


def word_of(value):
    """One of the words offered in the person's language; anything else as it is.

    >>> word_of("my own word")
    'my own word'
    """
    return _WORDS.get(value, value) if isinstance(value, str) else value


def meant_by(typed: str) -> str:
    """The word that files hold for one offered in the person's language; or as it is typed.

    >>> meant_by("my own word")
    'my own word'
    """
    return next((value for value, word in _WORDS.items() if word == typed), typed)


@dataclass(frozen=True)
class Characteristic:
    """How one characteristic is named, asked for, checked and explained.

    Attributes
    ----------
    label : for people.
    section : how one comes to know it: "packet", "hand", "printer", "stock" or "own".
    doc : what files say of it.
    kind : "text", "number", "sizes", "prices", "notes" or "flag".
    unit, low, high : of numbers; ``low`` and ``high`` are allowed.
    offered : words to choose from; others may be typed.
    placeholder : an example in an empty field.
    help : for a form, where ``doc`` speaks of the file.
    """

    label: str
    section: str
    doc: str
    kind: str = "text"
    unit: str = ""
    low: float = 0.0
    high: float = math.inf
    offered: tuple[str, ...] = ()
    placeholder: str = ""
    help: str = ""

    @property
    def hint(self) -> str:
        """For a form: a sentence of its own."""
        text = self.help or self.doc
        return text[:1].upper() + text[1:]

    def check(self, value, called: str | None = None):
        """The value as papers hold it; None for "says nothing".

        Parameters
        ----------
        called : what a complaint calls it; by default the label.

        Raises
        ------
        PaperError
            for a value that makes no sense here.

        >>> CHARACTERISTICS["weight_g_m2"].check(247)
        247.0
        """
        called = called or self.label
        if value is None:
            return None
        if self.kind == "number":
            return _number(called, value, self.unit, self.low, self.high)
        return _RULES[self.kind](called, value)


def _text(called: str, value):
    if not isinstance(value, str):
        raise PaperError(
            tr("“{name}” takes text in quotes, not {value}.", name=called, value=shown(value))
        )
    return clean_text(value) or None


def _notes(called: str, value):
    if not isinstance(value, str):
        raise PaperError(
            tr("“{name}” takes text in quotes, not {value}.", name=called, value=shown(value))
        )
    if len(value) > LONGEST_NOTE:
        raise PaperError(
            tr(
                "“{name}” is {count} characters long; {most} is the most it takes.",
                name=called,
                count=len(value),
                most=LONGEST_NOTE,
            )
        )
    return clean_lines(value) or None


def _flag(called: str, value):
    if not isinstance(value, bool):
        raise PaperError(
            tr("“{name}” is true or false, not {value}.", name=called, value=shown(value))
        )
    return value or None


def _number(called: str, value, unit: str, low: float, high: float):
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise PaperError(
            tr(
                "“{name}” takes a number ({unit}), not {value}.",
                name=called,
                unit=unit,
                value=shown(value),
            )
        )
    if not low <= value <= high:
        raise PaperError(
            tr(
                "“{name}” cannot be {value:g}; it lies between {low:g} and {high:g} {unit}.",
                name=called,
                value=value,
                low=low,
                high=high,
                unit=unit,
            )
        )
    return float(value)


def _sizes(called: str, value):
    given = [value] if isinstance(value, str) else value
    if not isinstance(given, (list, tuple)) or not all(isinstance(v, str) for v in given):
        raise PaperError(
            tr(
                '“{name}” takes a list of sizes in quotes, such as ["A4", "A3"], not {value}.',
                name=called,
                value=shown(value),
            )
        )
    if len(given) > _MOST_SIZES:
        raise PaperError(
            tr(
                "“{name}” lists {count} sizes; {most} is the most it takes.",
                name=called,
                count=len(given),
                most=_MOST_SIZES,
            )
        )
    return tuple(dict.fromkeys(size for size in map(clean_text, given) if size)) or None


def _prices(called: str, value):
    """((size, price), ...); a single number is the price of any size, written as ""."""
    if isinstance(value, tuple):
        value = _pairs(called, value)
    if not isinstance(value, Mapping):
        value = {"": value}
    if len(value) > _MOST_SIZES:
        raise PaperError(
            tr(
                "“{name}” lists {count} prices; {most} is the most.",
                name=called,
                count=len(value),
                most=_MOST_SIZES,
            )
        )
    sizes: dict[str, float] = {}
    for size, price in value.items():
        name = clean_text(str(size))
        sizes[name] = _number(f"{called} {name}".strip(), price, tr("in your currency"), 0, 1e6)
    return tuple(sizes.items()) or None


def _pairs(called: str, value: tuple) -> dict:
    try:
        return dict(value)
    except (TypeError, ValueError):
        raise PaperError(
            tr(
                "“{name}” takes a number, or a table of sizes and numbers, not {value}.",
                name=called,
                value=shown(value),
            )
        ) from None


_RULES = {"text": _text, "notes": _notes, "flag": _flag, "sizes": _sizes, "prices": _prices}


def _quoted(words: tuple[str, ...]) -> str:
    """As files have them."""
    return ", ".join(f'"{each}"' for each in words)


def _known(label: str, section: str, doc: str, default=None, **more):
    return field(default=default, metadata={"of": Characteristic(label, section, doc, **more)})


_PRICE_HELP = tr(
    "a number, or one for each size, as in: A4 0.90; A3 1.80. Sizes are named as you name those "
    "you hold"
)


@dataclass(frozen=True, eq=False)
class Known:
    """What is known of a sheet beside its colours; papers and shelf entries inherit it.

    Sizes are names such as "A4" or "24 in"; prices are (size, price) pairs, with "" for
    any size.
    """

    name: str = field(
        metadata={
            "of": Characteristic(tr("Name"), "own", tr("what you call the paper; no two alike"))
        }
    )
    _: KW_ONLY
    weight_g_m2: float | None = _known(
        tr("Weight"),
        "packet",
        tr("grams per square metre, 20 to 2000"),
        kind="number",
        unit="g/m²",
        low=20,
        high=2000,
        placeholder="247",
        help=tr("as printed on the packet"),
    )
    thickness_mm: float | None = _known(
        tr("Thickness"),
        "packet",
        tr("millimetres, 0.02 to 20"),
        kind="number",
        unit="mm",
        low=0.02,
        high=20,
        placeholder=numeral(0.41),
        help=tr("as printed on the packet; a driver may ask for it"),
    )
    base: str | None = _known(
        tr("Base"),
        "packet",
        tr("{words}, or your own word", words=_quoted(BASES)),
        offered=BASES,
        help=tr("what the sheet is made of"),
    )
    finish: str | None = _known(
        tr("Finish"),
        "packet",
        tr("{words}, or your own word", words=_quoted(FINISHES)),
        offered=FINISHES,
        help=tr("how much the surface shines"),
    )
    surface_texture: str | None = _known(
        tr("Surface texture"),
        "hand",
        tr("{words}, or your own word", words=_quoted(SURFACE_TEXTURES)),
        offered=SURFACE_TEXTURES,
        help=tr("what the surface feels like"),
    )
    surface: str | None = _known(
        tr("Surface under a lamp"),
        "hand",
        tr("{words}, or the path of a surface file", words=_quoted(SURFACES)),
        offered=SURFACES,
        help=tr("how it looks under a raking lamp, or the file of a surface that you measured"),
    )
    coated_side: str | None = _known(
        tr("Coated on"),
        "hand",
        _quoted(COATED_SIDES),
        offered=COATED_SIDES,
        help=tr(
            "which side takes the ink; at a corner, a moist fingertip sticks to it a little (common "
            "practice, no source)"
        ),
    )
    curl: str | None = _known(
        tr("Curl"),
        "hand",
        tr("{words}, or your own word", words=_quoted(CURLS)),
        offered=CURLS,
        help=tr(
            "flatten a curled sheet before you feed it: a raised edge strikes the print head (common "
            "practice, no source)"
        ),
    )
    printer: str | None = _known(
        tr("Printer"),
        "printer",
        tr("the printer the profile was made for"),
    )
    media_setting: str | None = _known(
        tr("Media setting"),
        "printer",
        tr("the media type to choose in the printer's settings"),
        help=tr(
            "the kind of paper to choose in the printer's driver; a profile holds for one "
            "setting only"
        ),
    )
    black_ink: str | None = _known(
        tr("Black ink"),
        "printer",
        tr("{one} or {other}", one=_quoted(BLACK_INKS[:1]), other=_quoted(BLACK_INKS[1:])),
        offered=BLACK_INKS,
        help=tr("the black that the printer uses on this paper"),
    )
    sheets: tuple[str, ...] = _known(
        tr("Sheets held"),
        "stock",
        tr('sheet sizes you hold, e.g. ["A4", "A3"]'),
        (),
        kind="sizes",
        placeholder=tr("A4, A3+, 30 x 40 cm"),
        help=tr("sheet sizes you hold, one after another with commas: A4, A3+, 30 x 40 cm"),
    )
    rolls: tuple[str, ...] = _known(
        tr("Rolls held"),
        "stock",
        tr('roll widths you hold, e.g. ["24 in"]'),
        (),
        kind="sizes",
        placeholder=tr("24 in, 61 cm"),
        help=tr("roll widths you hold, one after another with commas: 24 in, 61 cm"),
    )
    price_per_sheet: tuple[tuple[str, float], ...] = _known(
        tr("Price per sheet"),
        "stock",
        tr("a number, or one for each size: { A4 = 0.9, A3 = 1.8 }"),
        (),
        kind="prices",
        placeholder=tr("0.90, or A4 0.90; A3 1.80"),
        help=_PRICE_HELP,
    )
    price_per_metre: tuple[tuple[str, float], ...] = _known(
        tr("Price per metre of roll"),
        "stock",
        tr('a number, or one for each roll: { "24 in" = 7.5 }'),
        (),
        kind="prices",
        placeholder=tr("7.50, or 24 in 7.50"),
        help=_PRICE_HELP,
    )
    currency: str | None = _known(
        tr("Currency"),
        "stock",
        tr('of the prices, e.g. "EUR"'),
        placeholder="EUR",
    )
    drying_hours: float | None = _known(
        tr("Drying time"),
        "own",
        tr("hours that a print lies open before it is judged or framed, 0.1 to 1000"),
        kind="number",
        unit="h",
        low=0.1,
        high=1000,
        placeholder="24",
        help=tr(
            "how long you let a print lie open before you judge it; a day where you do not say "
            "(common practice, no source)"
        ),
    )
    notes: str | None = _known(
        tr("Notes"),
        "own",
        tr("anything; three double quotes begin and end text of several lines"),
        kind="notes",
        help=tr("anything you want to remember of this paper"),
    )
    invented: bool = _known(
        tr("Invented"), "own", tr("true for model papers that do not exist"), False, kind="flag",
    )  # fmt: skip


#: name of the field -> its declaration, in the order of every list
CHARACTERISTICS: dict[str, Characteristic] = {
    each.name: each.metadata["of"] for each in fields(Known)
}
#: what each field holds where nothing is known
UNKNOWN = {each.name: each.default for each in fields(Known) if each.name != "name"}


def drying_text(paper: object) -> str:
    """How long a print on a paper dries, in words: "a day", "36 hours".

    >>> drying_text(None)
    'a day'
    """
    hours = getattr(paper, "drying_hours", None) or DRYING_HOURS
    if hours % 24:
        return tr("an hour") if hours == 1 else tr("{hours:g} hours", hours=hours)
    return tr("a day") if hours == 24 else tr("{hours:g} days", hours=hours / 24)


def in_section(*sections: str) -> dict[str, Characteristic]:
    """The characteristics of these sections, in order.

    >>> list(in_section("packet", "hand"))
    ['weight_g_m2', 'thickness_mm', 'base', 'finish', 'surface_texture', 'surface', 'coated_side', 'curl']
    """
    return {key: each for key, each in CHARACTERISTICS.items() if each.section in sections}
