"""Judging a print by eye: from what is seen to likely causes, and to one change at a time.

The rules and their weights are ours, from common practice (no source): a table that can be
read, not a measurement.  What the plan knows (screen, light, paper, chain) speaks for a cause
or against it; what was looked into already is left out.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from workbench.analysis.chain import SAME_PROFILE
from workbench.analysis.gamut import gamut_report
from workbench.analysis.screen import screen_match
from workbench.analysis.screen_answer import cd_words
from workbench.analysis.words import HUE_NAMES
from workbench.characteristics import drying_text
from workbench.errors import WorkbenchError
from workbench.files.text import clean_text
from workbench.paper import Paper
from workbench.planned import Planned
from workbench.results import Result

#: what is asked, with its answers as (words, value); "" is "as on the screen"
LIGHTNESS = (("as light", ""), ("darker", "darker"), ("lighter", "lighter"))
CONTRAST = (("of the same contrast", ""), ("flatter", "flatter"), ("harsher", "harsher"))
CAST = (
    ("no cast", ""), ("cooler", "cooler"), ("warmer", "warmer"), ("greener", "greener"),
    ("redder", "redder"),
)  # fmt: skip
TONES = ("shadows", "middle tones", "highlights")
HUES = HUE_NAMES[1:]
#: row of a test strip -> what it steps through
ROW_WORDS = {
    "shadows": "shadow lift", "highlights": "highlight roll-off", "around": "lightness and warmth",
}  # fmt: skip
_STOPS = 0.5  # of screen against print, from which on it is a cause
_HUE_SHARE = 0.003  # of the picture, from which on a hue's loss shows
_TINT = 2.0  # b* of a paper's white, from which on highlights take it


@dataclass(frozen=True)
class Observations:
    """What a person sees of a dried print beside its picture on the screen.

    Attributes
    ----------
    lightness : "", "darker" or "lighter" than the screen.
    contrast : "", "flatter" or "harsher".
    cast : "", "cooler", "warmer", "greener" or "redder".
    tones : where, of `TONES`; empty for everywhere.
    hues : of `HUES`, which look wrong by themselves.
    stripes : whether lines or bands run through it.
    dried : whether the drying time is over.
    stated_light : whether print and screen stand in the light that the plan says.
    chain_agrees : whether the halves of the chain patch agree; None if not printed.
    wedge_moved : whether the step wedge reads otherwise than it did.
    ruled_out : keys of causes that were looked into and are not it.

    Raises
    ------
    WorkbenchError
        for a word that is not among those offered.

    Examples
    --------
    >>> wb.Observations(lightness="darker", tones=("shadows",)).sentence
    'The print looks darker in the shadows.'
    """

    lightness: str = ""
    contrast: str = ""
    cast: str = ""
    tones: tuple[str, ...] = ()
    hues: tuple[str, ...] = ()
    stripes: bool = False
    dried: bool = True
    stated_light: bool = True
    chain_agrees: bool | None = None
    wedge_moved: bool = False
    ruled_out: tuple[str, ...] = ()

    def __post_init__(self):
        for name, offered in (("lightness", LIGHTNESS), ("contrast", CONTRAST), ("cast", CAST)):
            if (value := getattr(self, name)) not in (values := [v for _, v in offered]):
                listed = ", ".join(each or "“” (none)" for each in values)
                raise WorkbenchError(f"The {name} seen is one of {listed}, not “{value}”.")
        for name, known in (("tones", TONES), ("hues", HUES), ("ruled_out", tuple(_RULES))):
            object.__setattr__(self, name, given := tuple(getattr(self, name)))
            if wrong := [each for each in given if each not in known]:
                what = name.replace("_", " ")
                raise WorkbenchError(f"“{wrong[0]}” is not among {what}: {', '.join(known)}.")

    @property
    def anything(self) -> bool:
        """Whether the print differs from the screen at all."""
        return bool(self.lightness or self.contrast or self.cast or self.hues or self.stripes)

    @property
    def sentence(self) -> str:
        """What is seen, as a note keeps it."""
        if not self.anything:
            return "Print and screen look alike."
        seen = [each for each in (self.lightness, self.contrast, self.cast) if each]
        said = f"The print looks {_listed(seen)}" if seen else "The print looks different"
        if self.tones:
            said += f" in the {_listed(self.tones)}"
        if self.hues:
            said += f"; {_listed(self.hues)} look wrong"
        return said + ("; stripes run through it." if self.stripes else ".")


@dataclass(frozen=True)
class Cause:
    """A likely cause.

    Attributes
    ----------
    key : its name among the rules.
    words : what it is.
    weight : how much speaks for it; a sum of the rules' weights.
    reasons : what speaks for it here.
    change : the one thing to do.
    """

    key: str
    words: str
    weight: float
    reasons: tuple[str, ...]
    change: str


@dataclass(frozen=True)
class Judgement(Result):
    """What a print judged by eye comes to.

    Attributes
    ----------
    seen : what was seen, in a sentence.
    causes : the likeliest first; empty where print and screen look alike.
    rows : of the next strip, for `test_strip`; empty where no strip can try what was seen.
    """

    seen: str
    causes: tuple[Cause, ...]
    rows: tuple[str, ...] = ()

    @property
    def change(self) -> str:
        """The one change to make next; "" where none is wanted."""
        return self.causes[0].change if self.causes else ""

    @property
    def note(self) -> dict[str, str]:
        """Fields for `note_of`: what was seen, and what to change next time."""
        why = f" Likely cause: {self.causes[0].words}." if self.causes else ""
        return {"notes": f"Judged by eye: {self.seen}{why}", "change_next_time": self.change}

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        if not self.causes:
            return "Print and screen look alike: nothing needs to be changed."
        first = self.causes[0].words
        return f"Most likely: {first}."

    def table(self) -> list[dict]:
        """The causes, the likeliest first: what they are, their weight, reasons and change."""
        return [
            {
                "cause": c.words,
                "weight": c.weight,
                "because": "; ".join(c.reasons),
                "change": c.change,
            }
            for c in self.causes
        ]


@dataclass(frozen=True)
class _Rule:
    """A cause: what of the facts it needs, and how much each speaks for it."""

    words: str
    change: str
    needs: tuple[str, ...]
    base: float = 1.0
    speaks: dict[str, float] = field(default_factory=dict)
    rules_out: tuple[str, ...] = ()


_SEEN = ("darker", "lighter", "flatter", "harsher", "cooler", "warmer", "greener", "redder", "hues")
# key -> rule; braces are filled with what the plan says
_RULES: dict[str, _Rule] = {
    "not dry": _Rule(
        "the print has not dried",
        "Let it lie open for {drying}, then look again; change nothing else.",
        ("not dry",), 8.0,
    ),
    "another light": _Rule(
        "print and screen are not seen in the light that is set in the plan",
        "Put both into the light that is set in the plan ({light}), or set the plan to this light.",
        ("another light",), 7.0,
    ),
    "chain": _Rule(
        "the colours were converted twice, or not at all",
        "{chain}",
        _SEEN, 2.0,
        {"halves differ": 12, "hues": 1, "harsher": 1, "several signs": 2, "greener": 1, "redder": 1},
        ("halves agree",),
    ),
    "nozzles": _Rule(
        "a nozzle is blocked or a head is out of line",
        "Print the printer's own nozzle page; if it is whole, its alignment page. Clean or align "
        "only what they show.",
        ("stripes", "greener", "redder", "cooler", "warmer", "hues"), 1.0,
        {"stripes": 9, "greener": 2, "redder": 2, "wedge moved": 2},
    ),
    "screen bright": _Rule(
        "the screen is brighter than the print in its light",
        "{screen}",
        ("darker",), 3.0,
        {"screen brighter": 5, "screen not known": 1, "everywhere": 1},
        ("screen matches", "screen dimmer"),
    ),
    "screen dim": _Rule(
        "the screen is dimmer than the print in its light",
        "{screen}",
        ("lighter",), 3.0,
        {"screen dimmer": 5, "screen not known": 1, "everywhere": 1},
        ("screen matches", "screen brighter"),
    ),
    "light dim": _Rule(
        "there is less light on the print than is set in the plan",
        "Measure the light where the print hangs, facing the room, and set it in the plan.",
        ("darker",), 2.0, {"shadows": 1, "flatter": 1},
    ),
    "compensation": _Rule(
        "black point compensation is off, so that the deepest shadows merge",
        "Switch black point compensation on, and print the strip again.",
        ("compensation off",), 3.0, {"darker": 1, "shadows": 3, "flatter": 1},
    ),
    "paper black": _Rule(
        "this sheet's black is lighter than the screen's, as on every {finish} sheet",
        "Look at the proof with the paper's black before judging; then try shadow lift or contrast, "
        "one of the two, in a strip.",
        ("flatter",), 1.0, {"matte": 3, "shadows": 2},
    ),
    "no proof": _Rule(
        "the print is held against the picture and not against its proof",
        "Judge beside the proof, with the paper's white and black shown, on neutral grey.",
        ("flatter", "hues"), 2.0,
    ),
    "mirrored room": _Rule(
        "glass or gloss mirrors the room over the shadows",
        "Look from the side where nothing bright is mirrored, or take the glass off, in cut-proof gloves.",
        ("flatter",), 0.5, {"glass": 3, "shadows": 1, "gloss": 1},
    ),
    "media setting": _Rule(
        "the driver's media setting or black ink is not the one that the profile was made for",
        "Compare the driver's media setting with {media}, then print the same strip again.",
        ("flatter", "darker", "lighter", "harsher"), 2.0, {"shadows": 1, "stripes": 1},
    ),
    "driver improves": _Rule(
        "the driver improves pictures by itself",
        "Switch off everything in the driver that makes pictures livelier or sharper.",
        ("harsher", "hues", "redder"), 1.5, {"harsher": 2},
        ("halves agree",),
    ),
    "lamp": _Rule(
        "the lamp over the print has another colour than is set in the plan",
        "Look at the print by daylight at a window: if the cast is gone, set the lamp's colour in "
        "the plan.",
        ("cooler", "warmer", "greener", "redder"), 3.0, {"everywhere": 1},
    ),
    "screen white": _Rule(
        "the screen's white has another colour than the paper in its light",
        "Hold the bare paper in its light beside a white area on the screen; set the screen's white "
        "until they agree.",
        ("cooler", "warmer", "greener", "redder"), 2.5, {"everywhere": 1, "highlights": 1},
    ),
    "paper white": _Rule(
        "it is the paper's own white, which the highlights take",
        "Show the paper's white in the proof. It is a choice, not a fault; another white is another "
        "paper.",
        ("tinted as seen",), 2.0, {"highlights": 3},
    ),
    "gamut": _Rule(
        "these colours are out of this paper's gamut",
        "Try the perceptual intent in the proof, or a paper that holds them; the gamut overlay shows where.",
        ("hues",), 1.0, {"hues out of gamut": 6}, ("hues in gamut",),
    ),
    "drift": _Rule(
        "the printer or its ink has changed since the profile was made",
        "Print the target and measure it, or compare a new judging sheet with the first one.",
        _SEEN, 0.5, {"wedge moved": 6},
    ),
    "taste": _Rule(
        "the print is as planned, and the plan can be improved",
        "{strip}",
        _SEEN[:6], 1.5,
        {"halves agree": 2, "screen matches": 2},
    ),
}  # fmt: skip

_CHAIN_UNKNOWN = "Print the judging sheet and look at its chain patch from a distance."
_CHAIN_WRONG = (
    "Make sure that one program or driver converts, and only one: compare the job sheet's steps with "
    f"what is set. {SAME_PROFILE}"
)
#: when to print the printer's own pages
OWN_PAGES = (
    "Nozzle, alignment and banding pages come from the printer itself. Print the nozzle page when "
    "stripes or a sudden cast appear, after weeks of standing still and before a long edition; the "
    "alignment page where fine lines are doubled, and after the printer was moved; a page for "
    "the feed where bands lie evenly across the sheet, and with a sheet of another thickness "
    "(common practice, no source)."
)
#: what each cause is called, for lists
CAUSES = {key: rule.words for key, rule in _RULES.items()}

_REASONS = {
    "halves differ": "the halves of the chain patch differ",
    "halves agree": "the chain patch is right",
    "stripes": "stripes run through it",
    "wedge moved": "the step wedge reads otherwise than before",
    "screen not known": "the screen's brightness is not set in the plan",
    "screen matches": "the screen matches the print's light",
    "everywhere": "it is the same in all tones",
    "several signs": "several things are off at once",
    "shadows": "it shows in the shadows",
    "highlights": "it shows in the highlights",
    "matte": "the sheet is matte",
    "gloss": "the sheet is glossy",
    "glass": "there is glass before the print",
    "compensation off": "it is off in the plan",
    "not dry": "its drying time is not over",
    "another light": "the light is not the plan's",
}


def judge_print(observations: Observations, plan: Planned | None) -> Judgement:
    """Likely causes of what is seen on a print, and one change at a time.

    Parameters
    ----------
    observations : what is seen, see `Observations`.
    plan : a Plan, or anything with attributes of the same names; what it lacks stays unknown.

    Returns
    -------
    A Judgement, its causes in order of likelihood.

    Raises
    ------
    WorkbenchError
        for observations that are none, or a light that cannot be.

    Examples
    --------
    >>> seen = wb.Observations(lightness="darker", chain_agrees=False)
    >>> wb.judge_print(seen, plan).causes[0].key
    'chain'
    """
    if not observations.anything:
        return Judgement(observations.sentence, ())
    facts = {**_seen(observations), **_known(observations, plan)}
    rows = _rows(observations)
    filled = _filled(facts, plan, rows)
    causes = []
    for key, rule in _RULES.items():
        if key in observations.ruled_out or any(each in facts for each in rule.rules_out):
            continue
        if not any(each in facts for each in rule.needs):
            continue
        speaking = {name: more for name, more in rule.speaks.items() if name in facts}
        named = dict.fromkeys((*(n for n in rule.needs if n in facts), *speaking))
        reasons = [facts[name] for name in named if facts[name]]
        causes.append(
            Cause(
                key, rule.words.format(**filled), rule.base + sum(speaking.values()),
                tuple(reasons), rule.change.format(**filled),
            )
        )  # fmt: skip
    causes.sort(key=lambda cause: -cause.weight)
    return Judgement(observations.sentence, tuple(causes), rows)


def rule_out(observations: Observations, judgement: Judgement) -> Observations:
    """The same observations, with the likeliest cause looked into and left out."""
    if not judgement.causes:
        return observations
    return replace(observations, ruled_out=(*observations.ruled_out, judgement.causes[0].key))


def _seen(seen: Observations) -> dict[str, str]:
    """What was seen, each fact with what it says as a reason."""
    found = [seen.lightness, seen.contrast, seen.cast]
    facts = {each: f"the print looks {each}" for each in found if each}
    tones = {"middle tones": "middle"}
    facts |= {tones.get(each, each): f"it shows in the {each}" for each in seen.tones}
    if not seen.tones or len(seen.tones) == len(TONES):
        facts["everywhere"] = _REASONS["everywhere"]
    if seen.hues:
        facts["hues"] = f"{_listed(seen.hues)} look wrong"
    if sum(map(bool, (*found, seen.hues))) > 1:
        facts["several signs"] = _REASONS["several signs"]
    flags = {
        "stripes": seen.stripes, "not dry": not seen.dried, "another light": not seen.stated_light,
        "halves differ": seen.chain_agrees is False, "halves agree": seen.chain_agrees is True,
        "wedge moved": seen.wedge_moved,
    }  # fmt: skip
    return facts | {name: _REASONS[name] for name, true in flags.items() if true}


def _known(seen: Observations, plan) -> dict[str, str]:
    """What the plan knows that speaks for or against a cause."""
    paper, facts = getattr(plan, "paper", None), {}
    finish = getattr(paper, "finish", None)
    if finish in ("matte", "gloss"):
        facts[finish] = _REASONS[finish]
    if getattr(plan, "glass", ""):
        facts["glass"] = _REASONS["glass"]
    dark = seen.lightness == "darker" or seen.contrast == "flatter"
    compensates = getattr(plan, "intent", "") in ("relative", "saturation")
    if dark and compensates and not getattr(plan, "black_point_compensation", True):
        facts["compensation off"] = _REASONS["compensation off"]
    stops = _stops(plan)
    if stops is None:
        facts["screen not known"] = _REASONS["screen not known"]
    elif abs(stops) < _STOPS:
        facts["screen matches"] = _REASONS["screen matches"]
    else:
        name = "screen brighter" if stops > 0 else "screen dimmer"
        facts[name] = f"the {name.replace('screen', 'screen is')} by {abs(stops):.1f} stops"
    if isinstance(paper, Paper) and paper.white_is_known:
        b = paper.white_lab[2]
        if (b > _TINT and seen.cast == "warmer") or (b < -_TINT and seen.cast == "cooler"):
            facts["tinted as seen"] = f"the bare sheet has b* {b:+.1f}".replace("-", "−")
    if seen.hues and isinstance(paper, Paper) and getattr(plan, "picture", None) is not None:
        facts |= _out_of_gamut(seen, plan, paper)
    return facts


def _out_of_gamut(seen: Observations, plan, paper: Paper) -> dict[str, str]:
    try:
        report = gamut_report(plan.picture, paper, threshold=plan.threshold, exact=False)
    except WorkbenchError:  # a picture whose colours are not known
        return {}
    lost = [name for name in seen.hues if report.hues.get(name, 0) >= _HUE_SHARE]
    if not lost:
        return {"hues in gamut": ""}
    return {"hues out of gamut": f"{_listed(lost)} of this picture lie beyond what the paper holds"}


def _stops(plan) -> float | None:
    """How much brighter than the print the screen is, in stops; None where not known."""
    match = _match(plan)
    return None if match is None else match.stops_too_dark


def _match(plan):
    paper, screen = getattr(plan, "paper", None), getattr(plan, "screen_luminance_cd_m2", 0)
    if paper is None:
        return None
    try:
        return screen_match(
            paper, illuminance_lux=plan.illuminance_lux, light=plan.light,
            screen_luminance_cd_m2=screen or None, glass=plan.glass or None,
            room_share=plan.room_share,
        )  # fmt: skip
    except (WorkbenchError, AttributeError):
        return None


def _rows(seen: Observations) -> tuple[str, ...]:
    """The row of a strip that tries what was seen, one at a time."""
    tonal = seen.lightness or seen.contrast
    if tonal and seen.tones == ("shadows",):
        return ("shadows",)
    if tonal and seen.tones == ("highlights",):
        return ("highlights",)
    return ("around",) if seen.lightness or seen.cast in ("cooler", "warmer") else ()


def _filled(facts, plan, rows) -> dict[str, str]:
    """What stands in the rules' braces."""
    paper, match = getattr(plan, "paper", None), _match(plan)
    setting = clean_text(getattr(paper, "media_setting", None) or "")
    screen = "Set the brightness of your screen in the plan, under screen and light."
    if match is not None:
        wanted = cd_words(match.screen_white_luminance_cd_m2)
        screen = f"The print's white has {wanted} in its light: "
        if "screen not known" in facts:
            screen += "measure your screen's white or set it near that, and note it in the plan."
        else:
            screen += (
                "judge it in more light or less, or set the screen nearer to it, within its "
                "proofing range."
            )
    tried = ROW_WORDS.get(rows[0], "") if rows else "what you would change"
    strip = f"Print a strip with steps of {tried}, choose by eye, and change nothing else."
    lux = getattr(plan, "illuminance_lux", None)
    light = clean_text(str(getattr(plan, "light", "") or ""))
    return {
        "drying": drying_text(paper),
        "light": f"{lux:,.0f} lux, {light}" if lux else "its light",
        "chain": _CHAIN_WRONG if "halves differ" in facts else _CHAIN_UNKNOWN,
        "screen": screen,
        "finish": getattr(paper, "finish", None) or "such",
        "media": f"“{setting}”" if setting else "the one that the profile's maker names",
        "strip": strip,
    }


def _listed(names) -> str:
    names = list(names)
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
