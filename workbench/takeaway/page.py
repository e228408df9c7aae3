"""Writing a page to take away."""

from __future__ import annotations

import base64
import hashlib
import io
import json
from dataclasses import dataclass, field
from html import escape
from pathlib import Path
from typing import Any

from workbench.analysis.black import black_point
from workbench.analysis.gamut import counted_words, gamut_report
from workbench.analysis.proof import soft_proof
from workbench.analysis.shadows import shadow_tally
from workbench.analysis.white import paper_white
from workbench.decisions import DECISIONS
from workbench.errors import OutputError, WorkbenchError
from workbench.files import check_target, clean_text, write_whole
from workbench.language import LANGUAGE, tr
from workbench.live.lit import lit_scene
from workbench.live.module import module_source
from workbench.live.tables import LiveScene, beyond_table, live_scene, own_table, print_table
from workbench.numbers import number
from workbench.paper import Paper
from workbench.picture.picture import Picture
from workbench.rendering import DEFAULTS
from workbench.results import Result
from workbench.surface.lamp import Lamp
from workbench.takeaway.packing import BEYOND_STEPS, LAB_STEPS, beyond_steps, lab_steps, packed

MOST_PAPERS = 8
MOST_BYTES = 10_000_000
# long side of the picture, tried from the first; noise of 16 bits hardly packs
_SIDES_PX = (1100, 900, 720, 560)
_STILL_PX = 900
# CIEDE2000 at which the threshold's slider ends, unless it begins further
_USUAL_THRESHOLD = 10.0
_QUALITY = 85
_HERE = Path(__file__).parent


@dataclass(frozen=True)
class WrittenPage(Result):
    """A page that was written.

    Attributes
    ----------
    path : where.
    size_bytes : of the file.
    papers : names of those that can be chosen in it.
    """

    path: Path = field(repr=False)
    size_bytes: int
    papers: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What it is, in one sentence."""
        count = len(self.papers)
        papers = tr("on {count} papers", count=count) if count != 1 else tr("on 1 paper")
        return tr(
            "“{name}” shows the print {on_papers}, live, in any browser and without network "
            "({megabytes:.1f} MB).",
            name=self.path.name,
            on_papers=papers,
            megabytes=self.size_bytes / 1e6,
        )


def write_takeaway(
    picture: Picture,
    papers,
    path,
    *,
    title: str = "",
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    reference=DEFAULTS.reference,
    adaptation: float = DEFAULTS.adaptation,
    threshold: float = DEFAULTS.threshold,
    tolerance: float = DEFAULTS.tolerance,
    long_side_mm: float = 297.0,
    overwrite: bool = False,
) -> WrittenPage:
    """Write one HTML file that shows a picture on papers, with controls that move it.

    It needs neither Python nor network: paper, adaptation, gamut overlay, divider and a lamp
    over the sheet work by the same shaders as on the desk, and still pictures serve where a
    browser has no WebGL 2.
    The picture is shown in sRGB, reduced, so the file is under 10 MB.

    Parameters
    ----------
    picture : with a profile.
    papers : one or up to eight, with profiles; the first is shown first.
    path : of the file; must end in .html.
    title : of the page; made from the picture's name if left out.
    intent, black_point_compensation : of the print, as for `soft_proof`.
    reference, adaptation, threshold : where the controls begin.
    tolerance : of greys that merge in black, as for `black_point`.
    long_side_mm : of the print, at whose scale its sheet's relief is shown.
    overwrite : a file of that name may be replaced.

    Returns
    -------
    A `WrittenPage`.

    Raises
    ------
    OutputError
        for another ending, no paper, too many papers, or where it cannot be written.
    UntaggedPictureError
        for a picture without a profile.

    Examples
    --------
    >>> written = wb.write_takeaway(picture, papers[:2], folder / "prints.html")
    >>> written.size_bytes < 10_000_000
    True
    """
    papers = _checked(papers)
    target = check_target(path, originals=[picture.path], overwrite=overwrite)
    if target.suffix.lower() not in (".html", ".htm"):
        raise OutputError(
            tr("“{name}” is a web page; let its name end in .html.", name=target.name)
        )
    data = page_bytes(
        picture, papers, title=title, intent=intent, reference=reference, adaptation=adaptation,
        black_point_compensation=black_point_compensation, threshold=threshold,
        tolerance=tolerance, long_side_mm=long_side_mm,
    )  # fmt: skip
    return WrittenPage(
        write_whole(target, data, overwrite=overwrite),
        len(data),
        tuple(paper.name for paper in papers),
    )


def page_bytes(
    picture: Picture,
    papers,
    *,
    title: str = "",
    intent: str = DEFAULTS.intent,
    black_point_compensation: bool = DEFAULTS.black_point_compensation,
    reference=DEFAULTS.reference,
    adaptation: float = DEFAULTS.adaptation,
    threshold: float = DEFAULTS.threshold,
    tolerance: float = DEFAULTS.tolerance,
    long_side_mm: float = 297.0,
) -> bytes:
    """What `write_takeaway` writes; parameters and errors are the same."""
    papers = _checked(papers)
    how: dict[str, Any] = {
        "intent": intent,
        "black_point_compensation": black_point_compensation,
    }
    eye = {"reference": reference, "adaptation": adaptation}
    name = (picture.name or tr("Picture")).rsplit(".", 1)[0]
    title = clean_text(title or tr("{name}, as it will print", name=name))
    stills = [_still(picture, paper, how | eye) for paper in papers]
    words = [_words(picture, paper, how, eye, threshold, tolerance) for paper in papers]
    data = b""
    for side_px in _SIDES_PX:
        scene = _scene(picture, papers, title, side_px, how | eye, threshold, long_side_mm)
        data = _page(title, papers, words, stills, scene, adaptation, threshold).encode()
        if len(data) < MOST_BYTES:
            break
    return data


def _checked(papers) -> tuple[Paper, ...]:
    papers = (papers,) if isinstance(papers, Paper) else tuple(papers)
    if not papers or not all(isinstance(paper, Paper) for paper in papers):
        raise OutputError(tr("Give one paper or more, each with its profile."))
    if len(papers) > MOST_PAPERS:
        raise OutputError(
            tr(
                "A page has room for {most} papers, not for {count}; choose among them.",
                most=MOST_PAPERS,
                count=len(papers),
            )
        )
    return papers


def _scene(
    picture: Picture, papers, title: str, side_px: int, seen: dict, threshold, long_mm
) -> dict:
    source, pixels = picture.require_profile(), picture.preview(side_px)
    scenes = [
        live_scene(source, pixels, paper, **seen, display="sRGB", threshold=threshold)
        for paper in papers
    ]
    height, width = pixels.shape[:2]
    way = {name: seen[name] for name in ("intent", "black_point_compensation")}
    told = {"paperXyz", "referenceXyz", "adaptation", "paperNoise"}
    pixel_mm = number(long_mm, tr("print's long side"), low=1, high=1e5, unit="mm") / max(
        width, height
    )
    return {
        "title": title,
        "picture": packed(pixels),
        "width": width,
        "height": height,
        "own": packed(lab_steps(own_table(source))),
        "labSteps": LAB_STEPS,
        "beyondSteps": BEYOND_STEPS,
        "uniforms": {k: v for k, v in scenes[0].uniforms.items() if k not in told},
        "papers": [
            {
                "name": clean_text(paper.name),
                "print": packed(lab_steps(print_table(source, paper.profile, **way))),
                "beyond": packed(beyond_steps(beyond_table(source, paper.profile))),
                "uniforms": {k: v for k, v in scene.uniforms.items() if k in told},
                "lit": _lit(scene, paper, pixel_mm),
            }
            for paper, scene in zip(papers, scenes, strict=True)
        ],
    }


def _lit(scene: LiveScene, paper: Paper, pixel_mm: float) -> dict | None:
    """A paper's relief at the page's scale, and the uniforms of its lamp; None without a surface."""
    try:
        lamp = Lamp(elevation_deg=25, ambient=0.2)
        lit = lit_scene(scene, paper, lamp, width_mm=pixel_mm * scene.pixels.shape[1])
    except WorkbenchError:  # its file is not there
        return None
    assert lit.relief is not None, "there is a lamp"
    relief = lit.relief(pixel_mm)
    height, width = relief.codes.shape[:2]
    given = {k: v for k, v in lit.uniforms.items() if k not in scene.uniforms}
    return {
        "relief": packed(relief.codes),
        "facts": {"width": width, "height": height, **relief.facts()},
        "uniforms": given | {"lamp": False},
    }


def _still(picture: Picture, paper: Paper, seen: dict) -> str:
    """A JPEG of the print, as the address of an image."""
    from PIL import Image

    proof = soft_proof(picture, paper, **seen, display="sRGB", long_side_px=_STILL_PX)
    out = io.BytesIO()
    Image.fromarray(proof.pixels).save(out, "JPEG", quality=_QUALITY, subsampling=0)
    return "data:image/jpeg;base64," + base64.b64encode(out.getvalue()).decode()


def _words(picture: Picture, paper: Paper, how: dict, eye: dict, threshold, tolerance) -> list[str]:
    shadows = shadow_tally(picture)
    return [
        f"{gamut_report(picture, paper, threshold=threshold).sentence} {counted_words(threshold)}",
        paper_white(paper, **eye).sentence,
        black_point(paper, picture, **how, tolerance=tolerance, shadows=shadows).sentence,
    ]


def _page(title, papers, words, stills, scene: dict, adaptation: float, threshold: float) -> str:
    script = module_source((_HERE / "takeaway.js").read_text("utf-8"))
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    choices = "".join(
        f'<label><input type="radio" name="paper" value="{n}"{" checked" if not n else ""}> '
        f"{escape(clean_text(paper.name))}</label>"
        for n, paper in enumerate(papers)
    )
    said = "".join(
        f'<section data-paper="{n}"{"" if not n else " hidden"}><h2>{_name(paper)}</h2><ul>'
        + "".join(f"<li>{escape(sentence)}</li>" for sentence in sentences)
        + "</ul></section>"
        for n, (paper, sentences) in enumerate(zip(papers, words, strict=True))
    )
    figures = "".join(
        f'<figure><img src="{still}" alt="{_shown(title, paper)}">'
        f"<figcaption>{_name(paper)}</figcaption></figure>"
        for paper, still in zip(papers, stills, strict=True)
    )
    limits = DECISIONS["threshold"]
    return _FORM.format(
        language=LANGUAGE,
        words=_WORDS,
        digest=digest,
        title=escape(title),
        choices=choices,
        said=said,
        figures=figures,
        adaptation=round(100 * adaptation),
        threshold=f"{threshold:g}",
        least=f"{limits.low:g}",
        # a slider that ends below where it should begin would begin at its end
        most=f"{max(_USUAL_THRESHOLD, threshold):g}",
        script=script,
        # no tag can end inside a script: JSON may spell "<" in another way
        scene=json.dumps(scene).replace("<", "\\u003c"),
    )


def _name(paper: Paper) -> str:
    return escape(clean_text(paper.name))


def _shown(title: str, paper: Paper) -> str:
    return escape(tr("{title} on {paper}", title=title, paper=clean_text(paper.name)))


_WORDS = {
    name: escape(words, quote=False)
    for name, words in {
        "paper": tr("Paper"),
        "adaptation": tr("Adaptation to paper white"),
        "divider": tr("Divider: picture on the left"),
        "overlay": tr("Gamut overlay: stripes over what is out of gamut"),
        "threshold": tr("Out-of-gamut threshold"),
        "lamp": tr("Under a lamp: drag it over the picture, or use the arrow keys"),
        "even": tr("Even light, as in a white room"),
        "footer": tr(
            "Worked out from the papers' profiles, shown in sRGB and reduced. Unless it is set "
            "to match, a screen shows neither a paper's white nor its black. Under the lamp, a "
            "sheet that nobody has measured has the surface of its kind, typical by common "
            "practice."
        ),
    }.items()
}
_FORM = """<!doctype html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data: blob:; \
style-src 'unsafe-inline'; script-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
:root {{ color-scheme: light; }}
body {{ margin: 0; background: #777; color: #fff; font: 16px/1.5 system-ui, sans-serif; }}
main {{ max-width: 1180px; margin: auto; padding: 16px; }}
h1 {{ font-size: 1.3rem; margin: 0 0 12px; }}
h2 {{ font-size: 1.05rem; margin: 0; }}
#controls, .said {{ background: #f4f4f4; color: #1f1f1f; border-radius: 6px; padding: 12px 16px;
  margin-top: 12px; }}
#controls {{ display: grid; gap: 8px 24px; grid-template-columns: repeat(auto-fit, minmax(240px, 1fr)); }}
#controls[hidden] {{ display: none; }}
fieldset {{ grid-column: 1 / -1; border: 0; margin: 0; padding: 0; display: flex; flex-wrap: wrap;
  gap: 4px 20px; }}
legend {{ font-weight: 600; padding: 0; }}
#controls > label {{ display: block; }}
input[type=range] {{ display: block; width: 100%; }}
output {{ float: right; font-variant-numeric: tabular-nums; }}
ul {{ margin: 4px 0 0; padding-left: 20px; }}
figure {{ margin: 0 0 16px; }}
figure img {{ max-width: 100%; display: block; }}
footer {{ margin-top: 12px; font-size: .85rem; }}
:focus-visible {{ outline: 3px solid #56b4e9; outline-offset: 2px; }}
</style>
</head>
<body>
<main>
<h1>{title}</h1>
<div id="view"></div>
<div id="stills">{figures}</div>
<div id="controls" hidden>
<fieldset><legend>{words[paper]}</legend>{choices}</fieldset>
<label>{words[adaptation]} <output id="adaptation-told"></output>
<input type="range" id="adaptation" min="0" max="100" value="{adaptation}"></label>
<label>{words[divider]} <output id="divider-told"></output>
<input type="range" id="divider" min="0" max="100" value="0"></label>
<label><input type="checkbox" id="overlay"> {words[overlay]}</label>
<label>{words[threshold]} <output id="threshold-told"></output>
<input type="range" id="threshold" min="{least}" max="{most}" step="0.1" value="{threshold}"></label>
<label><input type="checkbox" id="lamp"> {words[lamp]}</label>
<label>{words[even]} <output id="even-told"></output>
<input type="range" id="even" min="0" max="100" value="20"></label>
</div>
<div class="said">{said}</div>
<footer>{words[footer]}</footer>
</main>
<script type="application/json" id="scene">{scene}</script>
<script type="module">{script}</script>
</body>
</html>
"""
