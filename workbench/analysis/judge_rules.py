"""What may be wrong with a print judged by eye: the rules, their weights and what they advise.

Rules and weights are ours, from common practice (no source): a table that can be read, not a
measurement.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from workbench.analysis.chain import SAME_PROFILE
from workbench.language import tr


@dataclass(frozen=True)
class Rule:
    """A cause: what of the facts it needs, and how much each speaks for it."""

    words: str
    change: str
    needs: tuple[str, ...]
    base: float = 1.0
    speaks: dict[str, float] = field(default_factory=dict)
    rules_out: tuple[str, ...] = ()


_SEEN = ("darker", "lighter", "flatter", "harsher", "cooler", "warmer", "greener", "redder", "hues")
# key -> rule; braces are filled with what the plan says
RULES: dict[str, Rule] = {
    "not dry": Rule(
        tr("the print has not dried"),
        tr("Let it lie open for {drying}, then look again; change nothing else."),
        ("not dry",), 8.0,
    ),
    "another light": Rule(
        tr("print and screen are not seen in the light that is set in the plan"),
        tr("Put both into the light that is set in the plan ({light}), or set the plan to this light."),
        ("another light",), 7.0,
    ),
    "chain": Rule(
        tr("the colours were converted twice, or not at all"),
        "{chain}",
        _SEEN, 2.0,
        {"halves differ": 12, "hues": 1, "harsher": 1, "several signs": 2, "greener": 1, "redder": 1},
        ("halves agree",),
    ),
    "nozzles": Rule(
        tr("a nozzle is blocked or a head is out of line"),
        tr("Print the printer's own nozzle page; if it is whole, its alignment page. Clean or align "
        "only what they show."),
        ("stripes", "greener", "redder", "cooler", "warmer", "hues"), 1.0,
        {"stripes": 9, "greener": 2, "redder": 2, "wedge moved": 2},
    ),
    "screen bright": Rule(
        tr("the screen is brighter than the print in its light"),
        "{screen}",
        ("darker",), 3.0,
        {"screen brighter": 5, "screen not known": 1, "everywhere": 1},
        ("screen matches", "screen dimmer"),
    ),
    "screen dim": Rule(
        tr("the screen is dimmer than the print in its light"),
        "{screen}",
        ("lighter",), 3.0,
        {"screen dimmer": 5, "screen not known": 1, "everywhere": 1},
        ("screen matches", "screen brighter"),
    ),
    "light dim": Rule(
        tr("there is less light on the print than is set in the plan"),
        tr("Measure the light where the print hangs, facing the room, and set it in the plan."),
        ("darker",), 2.0, {"shadows": 1, "flatter": 1},
    ),
    "compensation": Rule(
        tr("black point compensation is off, so that the deepest shadows merge"),
        tr("Switch black point compensation on, and print the strip again."),
        ("compensation off",), 3.0, {"darker": 1, "shadows": 3, "flatter": 1},
    ),
    "paper black": Rule(
        tr("this sheet's black is lighter than the screen's, {every_sheet}"),
        tr("Look at the proof with the paper's black before judging; then try shadow lift or contrast, "
        "one of the two, in a strip."),
        ("flatter",), 1.0, {"matte": 3, "shadows": 2},
    ),
    "no proof": Rule(
        tr("the print is held against the picture and not against its proof"),
        tr("Judge beside the proof, with the paper's white and black shown, on neutral grey."),
        ("flatter", "hues"), 2.0,
    ),
    "mirrored room": Rule(
        tr("glass or gloss mirrors the room over the shadows"),
        tr("Look from the side where nothing bright is mirrored, or take the glass off, in cut-proof gloves."),
        ("flatter",), 0.5, {"glass": 3, "shadows": 1, "gloss": 1},
    ),
    "media setting": Rule(
        tr("the driver's media setting or black ink is not the one that the profile was made for"),
        tr("Compare the driver's media setting with {media}, then print the same strip again."),
        ("flatter", "darker", "lighter", "harsher"), 2.0, {"shadows": 1, "stripes": 1},
    ),
    "driver improves": Rule(
        tr("the driver improves pictures by itself"),
        tr("Switch off everything in the driver that makes pictures livelier or sharper."),
        ("harsher", "hues", "redder"), 1.5, {"harsher": 2},
        ("halves agree",),
    ),
    "lamp": Rule(
        tr("the lamp over the print has another colour than is set in the plan"),
        tr("Look at the print by daylight at a window: if the cast is gone, set the lamp's colour in "
        "the plan."),
        ("cooler", "warmer", "greener", "redder"), 3.0, {"everywhere": 1},
    ),
    "screen white": Rule(
        tr("the screen's white has another colour than the paper in its light"),
        tr("Hold the bare paper in its light beside a white area on the screen; set the screen's white "
        "until they agree."),
        ("cooler", "warmer", "greener", "redder"), 2.5, {"everywhere": 1, "highlights": 1},
    ),
    "paper white": Rule(
        tr("it is the paper's own white, which the highlights take"),
        tr("Show the paper's white in the proof. It is a choice, not a fault; another white is another "
        "paper."),
        ("tinted as seen",), 2.0, {"highlights": 3},
    ),
    "gamut": Rule(
        tr("these colours are out of this paper's gamut"),
        tr("Try the perceptual intent in the proof, or a paper that holds them; the gamut overlay shows where."),
        ("hues",), 1.0, {"hues out of gamut": 6}, ("hues in gamut",),
    ),
    "drift": Rule(
        tr("the printer or its ink has changed since the profile was made"),
        tr("Print the target and measure it, or compare a new judging sheet with the first one."),
        _SEEN, 0.5, {"wedge moved": 6},
    ),
    "taste": Rule(
        tr("the print is as planned, and the plan can be improved"),
        "{strip}",
        _SEEN[:6], 1.5,
        {"halves agree": 2, "screen matches": 2},
    ),
}  # fmt: skip

CHAIN_UNKNOWN = tr("Print the judging sheet and look at its chain patch from a distance.")
CHAIN_WRONG = tr(
    "Make sure that one program or driver converts, and only one: compare the job "
    "sheet's steps with what is set. {same_profile}",
    same_profile=SAME_PROFILE,
)
#: how a sheet's finish speaks for its black
EVERY_SHEET = {
    "gloss": tr("as on every gloss sheet"),
    "satin": tr("as on every satin sheet"),
    "matte": tr("as on every matte sheet"),
}
#: when to print the printer's own pages
OWN_PAGES = tr(
    "Nozzle, alignment and banding pages come from the printer itself. Print the nozzle page when "
    "stripes or a sudden cast appear, after weeks of standing still and before a long edition; the "
    "alignment page where fine lines are doubled, and after the printer was moved; a page for "
    "the feed where bands lie evenly across the sheet, and with a sheet of another thickness "
    "(common practice, no source)."
)
REASONS = {
    "halves differ": tr("the halves of the chain patch differ"),
    "halves agree": tr("the chain patch is right"),
    "stripes": tr("stripes run through it"),
    "wedge moved": tr("the step wedge reads otherwise than before"),
    "screen not known": tr("the screen's brightness is not set in the plan"),
    "screen matches": tr("the screen matches the print's light"),
    "everywhere": tr("it is the same in all tones"),
    "several signs": tr("several things are off at once"),
    "matte": tr("the sheet is matte"),
    "gloss": tr("the sheet is glossy"),
    "glass": tr("there is glass before the print"),
    "compensation off": tr("it is off in the plan"),
    "not dry": tr("its drying time is not over"),
    "another light": tr("the light is not the plan's"),
}
