"""A paper's white under other lights, from its spectrum.

Three numbers cannot say what a white becomes under another light; a spectrum can.  Each
tint is Lab relative to the light's own white, as an eye sees it that has got used to the
light.  What a spectrum does not hold is how a brightener glows under another light: the
reading took the instrument's own ultraviolet, and stays with it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from workbench.analysis.cct import cct_mccamy_k
from workbench.analysis.words import tint_words
from workbench.colour.difference import delta_e_2000
from workbench.colour.lab import D50_XYZ, chroma, hue_deg, triple, xyz_to_lab
from workbench.colour.spaces import bradford
from workbench.errors import PaperError
from workbench.files.text import clean_text, quoted
from workbench.language import tr
from workbench.paper_readings import spectral_white
from workbench.readings import OBSERVERS_DEG, Reading, Spectrum, spectra_to_xyz
from workbench.results import Result

DAYLIGHT, FILAMENT, LED, TUBE = (
    tr("daylight"),
    tr("lamp with a filament"),
    "LED",
    tr("fluorescent tube"),
)

# what each light is: CIE 15:2018, its tables of LED and fluorescent illuminants, from memory
LIGHTS: dict[str, tuple[str, str]] = {
    "D50": (DAYLIGHT, tr("daylight for prints")),
    "D65": (DAYLIGHT, tr("cool daylight")),
    "A": (FILAMENT, tr("a lamp with a filament")),
    "LED-B1": (LED, tr("blue LED with a phosphor, warm white")),
    "LED-B2": (LED, tr("blue LED with a phosphor, warm white")),
    "LED-B3": (LED, tr("blue LED with a phosphor, neutral white")),
    "LED-B4": (LED, tr("blue LED with a phosphor, like daylight for prints")),
    "LED-B5": (LED, tr("blue LED with a phosphor, like cool daylight")),
    "LED-BH1": (LED, tr("blue LED with a phosphor, and a red one")),
    "LED-RGB1": (LED, tr("red, green and blue LED")),
    "LED-V1": (LED, tr("violet LED with phosphors, warm white")),
    "LED-V2": (LED, tr("violet LED with phosphors, neutral white")),
    "FL1": (TUBE, tr("fluorescent tube, daylight")),
    "FL2": (TUBE, tr("fluorescent tube, cool white")),
    "FL3": (TUBE, tr("fluorescent tube, white")),
    "FL4": (TUBE, tr("fluorescent tube, warm white")),
    "FL5": (TUBE, tr("fluorescent tube, daylight")),
    "FL6": (TUBE, tr("fluorescent tube, light white")),
    "FL7": (TUBE, tr("broad-band fluorescent tube, daylight")),
    "FL8": (TUBE, tr("broad-band fluorescent tube, like daylight for prints")),
    "FL9": (TUBE, tr("broad-band fluorescent tube, cool white")),
    "FL10": (TUBE, tr("three-band fluorescent tube, like daylight for prints")),
    "FL11": (TUBE, tr("three-band fluorescent tube, white")),
    "FL12": (TUBE, tr("three-band fluorescent tube, warm white")),
}

# the tubes that CIE 15 itself puts first stand for all of them
USUAL_LIGHTS = tuple(n for n in LIGHTS if not n.startswith("FL") or n in ("FL2", "FL7", "FL11"))

#: how the shift against D50 brings a light's colours to D50
ADAPTATION = tr("linear Bradford")
_OBSERVERS = {
    2: "CIE 1931 2 Degree Standard Observer",
    10: "CIE 1964 10 Degree Standard Observer",
}
# differences under this are not worth a word (common practice, no source)
_WORTH_A_WORD = 1.0


@dataclass(frozen=True)
class LightTint:
    """A white under one light.

    Attributes
    ----------
    name, kind, about : of the light: "LED-B1", "LED", and what it is.
    cct_k : its correlated colour temperature in kelvin.
    light_xyz : of the light itself, Y = 1: the perfect diffuser's colour.
    xyz : of the paper, Y = 1 for the perfect diffuser.
    lab : of the paper relative to the light's own white, as seen by an eye used to it.
    chroma, hue_deg : of ``lab``.
    tint : in words, of ``lab``.
    adapted_lab : of the paper, brought to D50 by the linear Bradford transform.
    shift_ciede2000 : from the paper under D50 to ``adapted_lab``.
    """

    name: str
    kind: str
    about: str
    cct_k: float
    light_xyz: tuple[float, float, float]
    xyz: tuple[float, float, float]
    lab: tuple[float, float, float]
    chroma: float
    hue_deg: float
    tint: str
    adapted_lab: tuple[float, float, float]
    shift_ciede2000: float


@dataclass(frozen=True)
class TintsUnderLights(Result):
    """A white under several lights.

    Attributes
    ----------
    name : of the paper; empty for a reading alone.
    d50 : the white under D50, to hold the others against.
    tints : one `LightTint` for each light asked for, in that order.
    observer_deg : 2 or 10.
    condition : of the reading, "M0" to "M3" of ISO 13655; None where not known.
    caveat : what the reading cannot tell of a brightener.
    adaptation : the transform behind the shifts.
    """

    _drawn_by = "workbench.figures.illuminants:IlluminantsFigure"

    name: str
    d50: LightTint
    tints: tuple[LightTint, ...]
    observer_deg: int
    condition: str | None
    caveat: str
    adaptation: str = field(default=ADAPTATION, repr=False)

    def under(self, light: str) -> LightTint:
        """The tint under one of the lights.  Raises PaperError for another."""
        for tint in self.tints:
            if tint.name == light:
                return tint
        raise PaperError(
            tr(
                "The tint under “{light}” was not asked for.",
                light=clean_text(str(light)),
            )
        )

    @property
    def sentence(self) -> str:
        """The answer in one or two sentences."""
        start = tr("Under D50 this white is {tint}", tint=self.d50.tint)
        most = max(self.tints, key=lambda tint: tint.shift_ciede2000)
        if most.shift_ciede2000 < _WORTH_A_WORD:
            return tr(
                "{start}, and to an eye adapted to the light it stays so under all of these.",
                start=start,
            )
        return tr(
            "{start}. It changes most under {name} ({about}): {tint} there, "
            "{shift:.1f} CIEDE2000 away, to an eye adapted to the light.",
            start=start,
            name=most.name,
            about=most.about,
            tint=most.tint,
            shift=most.shift_ciede2000,
        )


def tint_under_lights(reading_or_paper, illuminants=None, observer: int = 2) -> TintsUnderLights:
    """The tint of a paper's white under CIE illuminants, from its spectrum.

    Parameters
    ----------
    reading_or_paper : a `Reading` with a spectrum, or a paper that has one (see
        `spectral_white`).
    illuminants : a name of `LIGHTS` or several; `USUAL_LIGHTS` if left out.
    observer : 2 or 10 degrees.

    Returns
    -------
    TintsUnderLights.

    Raises
    ------
    PaperError
        without a spectrum, or for a light or an observer that is not known.

    By ASTM E308 with the tables of CIE 15:2018, both as colour-science has them; D50 with 2
    degrees gives the Lab that the reading has anyway.  The shift against D50 is CIEDE2000
    after the linear Bradford transform.

    Examples
    --------
    >>> flat = wb.spectral_reading(range(380, 740, 10), [0.9] * 36)
    >>> [round(each.chroma, 1) for each in wb.tint_under_lights(flat, ["A", "D65"]).tints]
    [0.0, 0.0]
    """
    if observer not in OBSERVERS_DEG:
        raise PaperError(
            tr(
                "The observer is that of 2 or of 10 degrees, not {observer}.",
                observer=clean_text(str(observer)),
            )
        )
    names = _light_names(illuminants)
    spectrum = _spectrum_of(reading_or_paper)
    d50 = _under("D50", spectrum, observer, None)
    return TintsUnderLights(
        name=getattr(reading_or_paper, "name", ""),
        d50=d50,
        tints=tuple(
            d50 if name == "D50" else _under(name, spectrum, observer, d50) for name in names
        ),
        observer_deg=observer,
        condition=spectrum.condition,
        caveat=brightener_caveat(spectrum.condition),
    )


def _light_names(illuminants) -> tuple[str, ...]:
    if illuminants is None:
        return USUAL_LIGHTS
    asked = [illuminants] if isinstance(illuminants, str) else list(illuminants)
    known = {name.casefold(): name for name in LIGHTS}
    names = tuple(known.get(str(name).strip().casefold(), "") for name in asked)
    if not names or "" in names:
        wrong = clean_text(str(asked[names.index("")])) if names else tr("nothing")
        raise PaperError(
            tr(
                "“{wrong}” is not a light whose spectrum is known here; choose from {listed}.",
                wrong=wrong,
                listed=", ".join(LIGHTS),
            )
        )
    return names


def _spectrum_of(reading_or_paper) -> Spectrum:
    white = spectral_white(reading_or_paper)
    if white is not None and white.spectrum is not None:
        return white.spectrum
    name = "" if isinstance(reading_or_paper, Reading) else getattr(reading_or_paper, "name", "")
    of = quoted(clean_text(str(name))) if name else tr("this reading")
    raise PaperError(
        tr(
            "There is no spectrum of {of}, and Lab or XYZ cannot tell its tint under "
            "another light; read the bare paper with an instrument that gives spectra, and "
            "open that file.",
            of=of,
        )
    )


def _under(name: str, spectrum: Spectrum, observer: int, d50: LightTint | None) -> LightTint:
    kind, about = LIGHTS[name]
    white, xyz = _colours(name, observer, spectrum.wavelengths_nm, spectrum.reflectances)
    lab, adapted = xyz_to_lab(xyz, white), xyz_to_lab(bradford(white) @ xyz)
    shift = 0.0 if d50 is None else float(delta_e_2000(np.array(d50.adapted_lab), adapted))
    return LightTint(
        name=name,
        kind=kind,
        about=about,
        cct_k=float(cct_mccamy_k(white[:2] / white.sum())),
        light_xyz=_tuple(white),
        xyz=_tuple(xyz),
        lab=_tuple(lab),
        chroma=float(chroma(lab)),
        hue_deg=float(hue_deg(lab)),
        tint=tint_words(lab),
        adapted_lab=_tuple(adapted),
        shift_ciede2000=shift,
    )


def _tuple(values) -> tuple[float, float, float]:
    return triple(round(float(v), 6) for v in values)


@lru_cache(maxsize=256)
def _colours(light: str, observer: int, wavelengths, reflectances) -> tuple:
    """XYZ, Y = 1, of the light and of a surface in it."""
    if (light, observer) == ("D50", 2):
        # the white of the connection space, as for every other figure of the workbench
        return D50_XYZ, spectra_to_xyz(wavelengths, [reflectances])[0]
    return tuple(
        _integrated(light, observer, wavelengths, values)
        for values in ((1.0,) * len(wavelengths), reflectances)
    )


def _integrated(light: str, observer: int, wavelengths, values) -> np.ndarray:
    from colour import SpectralDistribution, sd_to_XYZ
    from colour.colorimetry import MSDS_CMFS, SDS_ILLUMINANTS
    from colour.utilities import suppress_warnings

    # it warns that instruments do not see all of the tables' 360 to 780 nm
    with suppress_warnings(colour_runtime_warnings=True):
        xyz = sd_to_XYZ(
            SpectralDistribution(values, wavelengths),
            MSDS_CMFS[_OBSERVERS[observer]],
            SDS_ILLUMINANTS[light],
            method="ASTM E308",
        )
    return np.asarray(xyz, dtype=float) / 100


_READ_IN = {
    "M0": tr(
        "in light like that of a lamp with a filament, whose ultraviolet no standard fixes (M0)"
    ),
    "M1": tr("in light that holds as much ultraviolet as D50 (M1)"),
}


def brightener_caveat(condition: str | None) -> str:
    """What a reading under this condition (ISO 13655) cannot tell of a paper's brightener.

    Parameters
    ----------
    condition : "M0" to "M3"; None where not known.
    """
    if condition in ("M2", "M3"):
        return tr(
            "This reading was taken without ultraviolet ({condition}), so a brightener did "
            "not glow. The tints hold where there is none either, as under most LED and "
            "behind UV-filtering glass; by daylight a brightened paper looks bluer than "
            "they say.",
            condition=condition,
        )
    light = _READ_IN.get(
        condition or "", tr("in the instrument's own light, of a kind it does not state")
    )
    return tr(
        "This reading was taken {light}. If the paper holds a brightener, its glow "
        "under that ultraviolet is part of every tint here. Light with less "
        "ultraviolet, such as most LED, makes such a paper yellower than this says, "
        "light with more makes it bluer.",
        light=light,
    )
