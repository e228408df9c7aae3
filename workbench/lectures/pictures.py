"""The pictures that lectures are about, each made of one figure and the answers it shows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from workbench.figures.live import LiveFigure
from workbench.language import tr
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS

WIDE_PX = 800
_CROP_PX = (360, 260)


def size_drawing(picture: Picture, **how) -> tuple[LiveFigure, str]:
    """A print on the smallest sheet that fits, to scale, with its size in a sentence.

    ``how`` goes to `workbench.print_size`.
    """
    from workbench.analysis.proof import picture_grid
    from workbench.analysis.size import print_size
    from workbench.figures.size import SizeFigure

    size = print_size(picture, **how)
    small = picture_grid(picture.require_profile()).apply(picture.preview(320))
    drawn = SizeFigure(size, small, width_px=WIDE_PX, height_px=330)
    return drawn, size.sentence("cm")


def highlights(
    paper: Paper, adaptation: float, reference="perfect diffuser"
) -> tuple[LiveFigure, str]:
    """Light greys on a paper beside the same on a white sheet, for an eye more or less adapted."""
    from workbench.analysis.white import neutral_steps, paper_white
    from workbench.figures.white_steps import StepsFigure

    seen = {"reference": reference, "adaptation": adaptation}
    drawn = StepsFigure(WIDE_PX, 226)
    drawn.update(neutral_steps(paper, **seen))
    return drawn, paper_white(paper, **seen).sentence


def highlights_on_papers(picture: Picture, papers) -> np.ndarray:
    """The picture's highlights on up to four papers, each on its own sheet, seen side by side."""
    from workbench.figures.tone_crops import highlight_sheets
    from workbench.figures.white_steps import side_by_side

    how = replace(DEFAULTS, reference="perfect diffuser", adaptation=0.0)
    sheets = highlight_sheets(picture, papers[0], papers[1:], how, _CROP_PX, 40)
    return side_by_side([each.pixels for each in sheets.sheets])


def blacks(picture: Picture, papers) -> LiveFigure:
    """The picture's black as it will print, on one scale of density, on up to four papers.

    Of more, those are taken that lie evenly between the shallowest and the deepest.
    """
    from workbench.analysis.black import black_point
    from workbench.figures.black_scale import Blacks, ScaleFigure

    by_black = sorted(papers, key=lambda paper: paper.contrast_ratio)
    places = np.linspace(0, len(by_black) - 1, min(4, len(by_black))).round().astype(int)
    found = Blacks(tuple(black_point(by_black[place], picture) for place in places))
    drawn = ScaleFigure(width_px=WIDE_PX)
    drawn.update(found)
    return drawn


def shadows(picture: Picture, papers, lift_stops: float) -> tuple[np.ndarray, str]:
    """The picture's shadows on papers, side by side, so many stops lighter than they are."""
    from workbench.figures.tone_crops import shadow_crops
    from workbench.figures.white_steps import side_by_side

    nothing = [None] * len(papers)
    crops = shadow_crops(picture, papers, DEFAULTS, _CROP_PX, nothing, lift_stops=lift_stops)
    names = ", ".join(paper.name for paper in papers)
    return side_by_side(crops), tr("From the left: {names}.", names=names)


def gamut_slices(papers, lightness: float):
    """Gamuts of papers cut at a lightness, as a matplotlib Figure, and the areas in a sentence."""
    from workbench.colour.shell import gamut_shell
    from workbench.figures.gamut_view import plane_radius
    from workbench.figures.style import AB_PLANE, SERIES, add_axes, legend, line, new_figure

    shells = [gamut_shell(paper.profile) for paper in papers]
    radius = plane_radius(max(shell.most_chroma for shell in shells))
    figure = new_figure(WIDE_PX, 320)
    axes = add_axes(
        figure, title=tr("Cut at L* {lightness:g} (relative)", lightness=lightness),
        xlim=(-radius, radius), ylim=(-radius, radius), **AB_PLANE,
    )  # fmt: skip
    for number, (paper, shell) in enumerate(zip(papers, shells, strict=True)):
        x, y = shell.outline(lightness).T
        line(axes, x, y, color=SERIES[number], dashes=number, label=paper.name)
    legend(axes, loc="upper left", bbox_to_anchor=(1.1, 1.0), handlelength=2.8)
    areas = [shell.area(lightness) for shell in shells]
    told = ", ".join(
        tr("{name} {area:.0f} %", name=paper.name, area=100 * area / (max(areas) or 1))
        for paper, area in zip(papers, areas, strict=True)
    )
    return figure, tr("Areas, the largest being 100 %: {told}.", told=told)


def out_of_gamut(picture: Picture, paper: Paper, threshold: float) -> tuple[np.ndarray, str]:
    """The picture with stripes where it is out of a paper's gamut, and how much that is."""
    from workbench.analysis.gamut import gamut_report
    from workbench.figures.gamut_overlay import COLOURS, Overlay

    report = gamut_report(picture, paper, threshold=threshold, exact=False)
    seen = Overlay(
        picture, paper, DEFAULTS.intent, DEFAULTS.black_point_compensation, WIDE_PX,
        printed=False, of="beyond", colour=COLOURS[0][1], limit=report.limit,
    )  # fmt: skip
    return seen.exact(), report.sentence


def _part(picture: Picture) -> tuple[int, int, int, int]:
    """A part that is worth a close look in the invented picture: x, y, width, height."""
    wide, high = picture.width_px, picture.height_px
    return int(0.28 * wide), int(0.17 * high), int(0.28 * wide), int(0.24 * high)


def lit_sheet(picture: Picture, paper: Paper, lamp) -> np.ndarray:
    """A part of the picture on one paper under a lamp."""
    from workbench.analysis.relit import relit_proof

    return relit_proof(picture, paper, lamp, part=_part(picture), long_side_px=WIDE_PX).pixels


def in_its_place(picture: Picture, paper: Paper, place) -> tuple[np.ndarray, str]:
    """The print as judged, as it hangs, and as proposed for its place, side by side."""
    from workbench.figures.white_steps import side_by_side
    from workbench.output.for_place import print_for_place

    told = print_for_place(picture, paper, place, long_side_px=300)
    shares = tr(
        "Brightness {brightness:.0f}%, range of lightness {lightness:.0f}%, "
        "colourfulness {colourfulness:.0f}%.",
        brightness=100 * told.brightness_share,
        lightness=100 * told.lightness_share,
        colourfulness=100 * told.colourfulness_share,
    )
    pixels = side_by_side([told.judged, told.hung, told.proposed])
    return pixels, tr("From the left: as judged, as it hangs, as proposed. {shares}", shares=shares)


def white_beside_screen(match) -> tuple:
    """The screen's white and the paper's, as bright as one is to the other, on black."""
    from workbench.figures.screen_picture import beside
    from workbench.figures.style import new_figure, words

    seen = beside(match)
    screen, paper = match.screen_luminance_cd_m2, match.paper_luminance_cd_m2
    figure = new_figure(WIDE_PX, 260)
    figure.set_facecolor("black")
    for x, name, white, rgb in (
        (0.04, tr("screen"), screen, seen.screen),
        (0.52, tr("paper"), paper, seen.paper),
    ):
        axes = figure.add_axes((x, 0.24, 0.44, 0.7), facecolor=rgb)
        axes.set(xticks=[], yticks=[])
        words(
            figure,
            x,
            0.09,
            tr("{name}: {white:.0f} cd/m²", name=name, white=white),
            size=14,
            color="white",
        )
    return figure, match.sentence


def under_lamp(picture: Picture, papers, lamp, **how):
    """A part of the picture on papers under one lamp; ``how`` goes to `workbench.relit_proof`."""
    from workbench.analysis.relit import relit_proof
    from workbench.figures.relit import OnPaper, relit_figure

    part = _part(picture)
    shown = [
        OnPaper(each.name, relit_proof(picture, each, lamp, part=part, long_side_px=380, **how))
        for each in papers
    ]
    return relit_figure(shown, width_px=WIDE_PX, columns=min(len(shown), 3))


def photographs_of_a_sheet(rms_mm: float = 0.03, samples: int = 256):
    """Made-up photographs of a relief, lit from eight sides, so that the truth is known.

    The cosine law, a lens that darkens the corners, and noise.

    Returns
    -------
    Photographs, the lamps' (azimuth, elevation) in degrees, millimetres per pixel, and the true
    RMS slope.
    """
    from workbench.picture import from_pixels
    from workbench.surface.kinds import grain_relief
    from workbench.surface.lamp import Lamp
    from workbench.surface.relief import slopes

    pitch = 0.05
    truth = grain_relief(rms_mm=rms_mm, length_mm=0.9, pitch_mm=pitch, samples=samples, seed=5)
    right, up = slopes(truth, pitch, tiles=True)
    length = np.sqrt(1 + right**2 + up**2)
    y, x = np.mgrid[-1 : 1 : samples * 1j, -1 : 1 : samples * 1j]
    noise = np.random.default_rng(1)
    lamps = [(azimuth, 35) for azimuth in range(0, 360, 45)]
    photographs = []
    for azimuth, elevation in lamps:
        lx, ly, lz = Lamp(azimuth, elevation).direction
        light = 0.5 * (lz - right * lx - up * ly) / length / lz
        light = light * (1 - 0.2 * (x**2 + y**2)) + noise.normal(0, 0.005, light.shape)
        grey = np.rint(65535 * np.clip(light, 0, 1) ** (1 / 2.2)).astype(np.uint16)[..., None]
        photographs.append(from_pixels(grey, "Grey, power 2.2"))
    return photographs, lamps, pitch, float(np.sqrt(np.mean(right**2 + up**2)))


def made_up_measurements(target) -> str:
    """A target's expected values with blacks too light and greys too warm, as CGATS text."""
    from workbench.target.cgats_file import cgats_text

    lab = target.reference_lab.copy()
    darkness = 1 - lab[:, 0] / 100
    lab[:, 0] += 4 * darkness**3
    lab[:, 2] += 3 * darkness
    return cgats_text(target.ids, target.names, lab=lab)
