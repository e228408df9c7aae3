"""What picture glass and a bright room do to a print: its white, black, contrast and colours.

The model, in luminance factors (1 = a perfectly white sheet in the print's light, no glass):

    seen = signal · print + veil

*Signal*: light crosses the glass twice, and a little more reaches the print because the
glass throws part of the print's own light back at it.  That light has spread on its way, so
it depends on how light the picture is on average and lifts every colour by the same factor.
*Veil*: the viewer sees the room mirrored in both faces of the glass and in a glossy print's
own surface; it lies over everything alike and so eats the blacks.

Assumptions: the room mirrored is one even luminance, of the same colour as the print's light;
glass is clear, neutral and seen nearly straight on (at 45° plain glass reflects 9.7 instead of
8.2 %); illuminance is measured in front of the glass.  Light scattered inside the eye is left
out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from workbench.analysis.words import COMMON_PRACTICE
from workbench.colour.lab import D50_XYZ, lab_to_xyz, luminance_factor, triple, xyz_to_lab
from workbench.decisions import BRIGHTEST_LUX
from workbench.errors import WorkbenchError
from workbench.language import tr
from workbench.numbers import number
from workbench.surface.fresnel import fresnel_pair

# A black of no luminance at all has no density: the same floor as a paper's measured facts.
DARKEST_FACTOR = 1e-5
# Average luminance factor of a picture: the photographer's grey (common practice, no source).
PICTURE_REFLECTANCE = 0.18
# What a print's own surface mirrors.  Gloss: Fresnel for n = 1.5.  Satin scatters some of it,
# which its measured black then holds already; a matte black holds all of it (common practice,
# no source).
SURFACE_MIRROR = {"gloss": 0.04, "satin": 0.03, "matte": 0.0}


def surface_mirror(finish) -> float | None:
    """What a print's own surface mirrors by its finish, which may be typed freely; None if not known.

    >>> surface_mirror(" Gloss"), surface_mirror(None)
    (0.04, None)
    """
    return SURFACE_MIRROR.get(str(finish).strip().casefold())


def fresnel_reflectance(refractive_index: float, angle_deg: float = 0.0) -> float:
    """Share of unpolarised light that one bare surface in air reflects.

    Parameters
    ----------
    refractive_index : 1 to 4.
    angle_deg : between the light and the surface's normal, 0 to 90.

    Source: Fresnel's equations, e.g. Born and Wolf, Principles of Optics; straight on,
    ((n − 1)/(n + 1))².  Raises WorkbenchError outside the ranges.
    """
    return sum(_fresnel_pair(refractive_index, angle_deg)) / 2


def _fresnel_pair(refractive_index: float, angle_deg: float) -> tuple[float, float]:
    """Reflectance for light polarised across and along the plane of incidence."""
    n = number(refractive_index, tr("refractive index"), low=1, high=4)
    angle = number(angle_deg, tr("angle"), low=0, high=90, unit=tr("degrees"))
    across, along = fresnel_pair(math.cos(math.radians(angle)), n)
    return float(across), float(along)


@dataclass(frozen=True)
class Glass:
    """A sheet in front of a print.

    Attributes
    ----------
    name : as a person would say it.
    refractive_index : of the sheet, 1 to 4.
    surface_reflectance : share that each face reflects straight on, 0 to 0.5; None for a bare
        surface, which follows from the refractive index.
    internal_transmittance : share of light that the material lets through, without the
        reflections, 0.1 to 1; clear float glass takes 1 to 2 % (common practice, no source).
    filters_uv : whether it keeps ultraviolet away from the print.
    source : where its numbers come from.
    """

    name: str
    refractive_index: float = 1.52
    surface_reflectance: float | None = None
    internal_transmittance: float = 1.0
    filters_uv: bool = False
    source: str = ""

    def __post_init__(self):
        number(self.refractive_index, tr("refractive index"), low=1, high=4)
        if self.surface_reflectance is not None:
            number(self.surface_reflectance, tr("face's reflectance"), low=0, high=0.5)
        number(self.internal_transmittance, tr("glass's transmittance"), low=0.1, high=1)

    def faces(self, angle_deg: float = 0.0) -> tuple[float, float]:
        """Share that one face reflects at an angle, for both polarisations.

        A coating's effect is known straight on only; what it lets through is taken to fall
        with the angle as it does for the bare face.
        """
        bare = _fresnel_pair(self.refractive_index, angle_deg)
        if self.surface_reflectance is None:
            return bare
        straight = fresnel_reflectance(self.refractive_index)
        gain = (1 - self.surface_reflectance) / (1 - straight)
        coated = max(1 - (1 - sum(bare) / 2) * gain, 0.0)
        return coated, coated

    def sheet(self, angle_deg: float = 0.0) -> tuple[float, float]:
        """Share that the whole sheet (reflects, lets through), between its faces to and fro.

        Source: the sum of the reflections between two faces, optics textbooks; for each
        polarisation by itself.  The longer way through the material at an angle is left out.
        """
        t = self.internal_transmittance
        reflected = crossed = 0.0
        for r in self.faces(angle_deg):
            if r >= 1:
                reflected += 1.0
                continue
            between = 1 - (r * t) ** 2
            reflected += r + r * ((1 - r) * t) ** 2 / between
            crossed += (1 - r) ** 2 * t / between
        return reflected / 2, crossed / 2

    @property
    def reflectance(self) -> float:
        """Share of light that the sheet reflects straight on."""
        return self.sheet()[0]

    @property
    def transmittance(self) -> float:
        """Share of light that crosses the sheet once, straight on."""
        return self.sheet()[1]

    @property
    def diffuse_reflectance(self) -> float:
        """Share of evenly scattered light, such as a print's own, that the sheet throws back."""
        return _diffuse(self)


@lru_cache(maxsize=256)
def _diffuse(glass: Glass) -> float:
    # the sheet's reflectance over all angles, weighted as a matte surface sends light out:
    # with u = sin² of the angle, the weight is even
    nodes, weights = np.polynomial.legendre.leggauss(64)
    angles = np.degrees(np.arcsin(np.sqrt((nodes + 1) / 2)))
    return float(sum(w * glass.sheet(a)[0] for w, a in zip(weights, angles, strict=True)) / 2)


_INDEX = tr("refractive index from optics textbooks, no absorption")

GLASSES: dict[str, Glass] = {
    glass.name: glass
    for glass in (
        Glass("plain", source=_INDEX),
        Glass("UV-filtering", filters_uv=True, source=_INDEX),
        Glass(
            "anti-reflection",
            surface_reflectance=0.005,
            source=tr(
                "0.5 % per side: {practice}; simpler coatings reach 1 %", practice=COMMON_PRACTICE
            ),
        ),
        Glass(
            "anti-reflection, UV-filtering",
            surface_reflectance=0.005,
            filters_uv=True,
            source=tr(
                "0.5 % per side: {practice}; simpler coatings reach 1 %", practice=COMMON_PRACTICE
            ),
        ),
        Glass("acrylic", refractive_index=1.49, source=_INDEX),
        Glass("UV-filtering acrylic", refractive_index=1.49, filters_uv=True, source=_INDEX),
    )
}

#: the same, as they are read by themselves and in a sentence
GLASS_WORDS = {
    "plain": tr("plain glass"),
    "UV-filtering": tr("UV-filtering glass"),
    "anti-reflection": tr("anti-reflection glass"),
    "anti-reflection, UV-filtering": tr("anti-reflection, UV-filtering glass"),
    "acrylic": tr("acrylic"),
    "UV-filtering acrylic": tr("UV-filtering acrylic"),
}
_BEHIND = {
    "plain": tr("behind plain glass"),
    "UV-filtering": tr("behind UV-filtering glass"),
    "anti-reflection": tr("behind anti-reflection glass"),
    "anti-reflection, UV-filtering": tr("behind anti-reflection, UV-filtering glass"),
    "acrylic": tr("behind acrylic"),
    "UV-filtering acrylic": tr("behind UV-filtering acrylic"),
}


def glass_words(glass: Glass) -> str:
    """A glass as it is read, such as “plain glass”."""
    own = glass.name.endswith(("acrylic", "glass"))
    words = glass.name if own else tr("{name} glass", name=glass.name)
    return GLASS_WORDS.get(glass.name, words)


def behind_words(glass: Glass | None) -> str:
    """How a print hangs, such as “behind plain glass” or “without glass”."""
    if glass is None:
        return tr("without glass")
    return _BEHIND.get(glass.name) or tr("behind {glass}", glass=glass_words(glass))


def find_glass(glass) -> Glass | None:
    """A Glass from its name in `GLASSES`; None and "none" mean bare.  Raises WorkbenchError."""
    if glass is None or isinstance(glass, Glass):
        return glass
    name = str(glass).strip().casefold()
    if name in ("none", "no glass", ""):
        return None
    for known in GLASSES.values():
        if known.name.casefold() == name:
            return known
    raise WorkbenchError(
        tr(
            "“{glass}” is not a glass known here; choose none or one of: {listed}.",
            glass=glass,
            listed="; ".join(GLASSES),
        )
    )


def light_path(
    glass: Glass | None,
    *,
    surface_mirror: float = 0.0,
    picture_reflectance: float = PICTURE_REFLECTANCE,
) -> tuple[float, float]:
    """How a print and a mirrored room reach the viewer: (signal, mirror).

    ``signal`` multiplies the print's own luminance; ``mirror`` the room's.

    Parameters
    ----------
    surface_mirror : share that the print's own surface mirrors beyond what its measured
        black holds already, 0 to 0.1; see `SURFACE_MIRROR`.
    picture_reflectance : average luminance factor of the picture, 0 to 1.
    """
    own = number(surface_mirror, tr("print surface's reflectance"), low=0, high=0.1)
    mean = number(picture_reflectance, tr("picture's average reflectance"), low=0, high=1)
    if glass is None:
        return 1.0, own
    signal = glass.transmittance**2 / (1 - mean * glass.diffuse_reflectance)
    # the room mirrored in the print itself crosses the glass as the print's own light does
    return signal, glass.reflectance + signal * own


@dataclass(frozen=True)
class HungPrint:
    """A print as hung: in its light, behind its glass, with the room mirrored in it.

    Luminances in cd/m², Lab absolute (D50; 100 is a perfectly white sheet in the print's light
    without glass).  ``signal`` and ``veil`` are those of the model above; ``stops_lost`` is
    what is gone of the contrast as measured, in photographic stops.
    """

    glass: Glass | None
    illuminance_lux: float
    room_luminance_cd_m2: float
    signal: float
    veil: float
    white_luminance_cd_m2: float
    black_luminance_cd_m2: float
    white_lab: tuple[float, float, float]
    black_lab: tuple[float, float, float]
    white_density: float
    black_density: float
    contrast_ratio: float
    measured_contrast_ratio: float

    @property
    def stops_lost(self) -> float:
        return math.log2(self.measured_contrast_ratio / self.contrast_ratio)


def hang(
    white_lab,
    black_lab,
    *,
    illuminance_lux: float,
    room_luminance_cd_m2: float = 0.0,
    glass=None,
    surface_mirror: float = 0.0,
    picture_reflectance: float = PICTURE_REFLECTANCE,
) -> HungPrint:
    """A print in its place on the wall.

    Parameters
    ----------
    white_lab, black_lab : absolute Lab of paper and black.
    illuminance_lux : on the print, 0.1 to 200,000.
    room_luminance_cd_m2 : of what the glass mirrors towards the viewer, 0 to 100,000.
    glass : a name in `GLASSES`, a `Glass`, or None.
    surface_mirror, picture_reflectance : see `light_path`.

    Raises
    ------
    WorkbenchError
        for impossible values.
    """
    white, black = check_print(white_lab, black_lab)
    lux = number(illuminance_lux, tr("illuminance"), low=0.1, high=BRIGHTEST_LUX, unit="lux")
    room = number(room_luminance_cd_m2, tr("room's luminance"), low=0, high=1e5, unit="cd/m²")
    glass = find_glass(glass)
    signal, mirror = light_path(
        glass, surface_mirror=surface_mirror, picture_reflectance=picture_reflectance
    )
    perfect = lux / math.pi
    veil = mirror * room / perfect
    y_white, y_black = _factor(white), _factor(black)
    seen_white, seen_black = signal * y_white + veil, signal * y_black + veil
    return HungPrint(
        glass=glass,
        illuminance_lux=lux,
        room_luminance_cd_m2=room,
        signal=signal,
        veil=veil,
        white_luminance_cd_m2=seen_white * perfect,
        black_luminance_cd_m2=seen_black * perfect,
        white_lab=triple(_glare(white, signal, veil)),
        black_lab=triple(_glare(black, signal, veil)),
        white_density=-math.log10(seen_white),
        black_density=-math.log10(seen_black),
        contrast_ratio=seen_white / seen_black,
        measured_contrast_ratio=y_white / y_black,
    )


def glare_lab(lab, hung: HungPrint) -> np.ndarray:
    """Print colours as hung.

    Parameters
    ----------
    lab : (..., 3) absolute Lab of the bare print.
    hung : from `hang`.

    Returns
    -------
    (..., 3) absolute Lab on the same scale, so that the whole print gets darker behind glass
    and its blacks greyer under a veil; compare with ``hung.white_lab`` for what an eye that is
    adapted to the print makes of it.
    """
    return _glare(lab, hung.signal, hung.veil)


def _glare(lab, signal: float, veil: float) -> np.ndarray:
    return xyz_to_lab(signal * lab_to_xyz(lab) + veil * D50_XYZ)


def check_print(white_lab, black_lab) -> tuple[np.ndarray, np.ndarray]:
    """White and black as arrays if they can be a print's, else a WorkbenchError."""
    pair = []
    for name, lab in (("white", white_lab), ("black", black_lab)):
        try:
            array = np.asarray(lab, dtype=float)
        except (TypeError, ValueError):
            array = np.empty(0)
        if array.shape != (3,) or not np.isfinite(array).all():
            raise WorkbenchError(
                tr("The print's white must be three numbers: L*, a* and b*.")
                if name == "white"
                else tr("The print's black must be three numbers: L*, a* and b*.")
            )
        pair.append(array)
    white, black = pair
    if not (0 <= black[0] < white[0] <= 110 and white[0] >= 20):
        raise WorkbenchError(
            tr(
                "A print with white at L* {white:g} and black at L* {black:g} cannot be; the "
                "white must be the lighter, between 20 and 110.",
                white=white[0],
                black=black[0],
            )
        )
    return white, black


def _factor(lab) -> float:
    return max(float(luminance_factor(lab[0])), DARKEST_FACTOR)
