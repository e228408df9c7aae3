"""Judging a print by eye: from what is seen to likely causes, and to one change at a time.

The rules stand in `workbench.analysis.judge_rules`.  What the plan knows (screen, light, paper, chain) speaks for a cause
or against it; what was looked into already is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbench.analysis.gamut import gamut_report
from workbench.analysis.judge_rules import CHAIN_UNKNOWN, CHAIN_WRONG, EVERY_SHEET, REASONS, RULES
from workbench.analysis.screen import ScreenMatch, screen_match
from workbench.analysis.screen_answer import cd_words
from workbench.analysis.words import HUE_NAMES, HUE_WORDS, TONE_NAMES, listed, signed
from workbench.characteristics import drying_text, word_of
from workbench.errors import WorkbenchError
from workbench.files.text import clean_text, quoted
from workbench.language import tr
from workbench.paper import Paper
from workbench.planned import Planned
from workbench.results import Result

#: what is asked, with its answers as (words, value); "" is "as on the screen"
LIGHTNESS = ((tr("as light"), ""), (tr("darker"), "darker"), (tr("lighter"), "lighter"))
CONTRAST = (
    (tr("of the same contrast"), ""),
    (tr("flatter"), "flatter"),
    (tr("harsher"), "harsher"),
)
CAST = (
    (tr("no cast"), ""), (tr("cooler"), "cooler"), (tr("warmer"), "warmer"),
    (tr("greener"), "greener"), (tr("redder"), "redder"),
)  # fmt: skip
TONES = tuple(TONE_NAMES)
_SHOWS_IN = {
    "shadows": tr("it shows in the shadows"),
    "middle tones": tr("it shows in the middle tones"),
    "highlights": tr("it shows in the highlights"),
}
_LOOKS = {value: said for said, value in (*LIGHTNESS, *CONTRAST, *CAST)}
HUES = HUE_NAMES[1:]
#: row of a test strip -> what it steps through
ROW_WORDS = {
    "shadows": tr("shadow lift"), "highlights": tr("highlight roll-off"), "around": tr("lightness and warmth"),
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
                offers = ", ".join(each or tr("“” (none)") for each in values)
                raise WorkbenchError(
                    tr(
                        "The {name} seen is one of {offers}, not “{value}”.",
                        name=name,
                        offers=offers,
                        value=value,
                    )
                )
        for name, known in (("tones", TONES), ("hues", HUES), ("ruled_out", tuple(RULES))):
            object.__setattr__(self, name, given := tuple(getattr(self, name)))
            if wrong := [each for each in given if each not in known]:
                what = name.replace("_", " ")
                raise WorkbenchError(
                    tr(
                        "“{wrong}” is not among {what}: {listed}.",
                        wrong=wrong[0],
                        what=what,
                        listed=", ".join(known),
                    )
                )

    @property
    def anything(self) -> bool:
        """Whether the print differs from the screen at all."""
        return bool(self.lightness or self.contrast or self.cast or self.hues or self.stripes)

    @property
    def sentence(self) -> str:
        """What is seen, as a note keeps it."""
        if not self.anything:
            return tr("Print and screen look alike.")
        seen = [_LOOKS[each] for each in (self.lightness, self.contrast, self.cast) if each]
        said = (
            tr("The print looks {how}", how=listed(seen))
            if seen
            else tr("The print looks different")
        )
        if self.tones:
            said += tr(" in the {tones}", tones=listed(TONE_NAMES[each] for each in self.tones))
        if self.hues:
            said += tr("; {hues} look wrong", hues=listed(HUE_WORDS[each] for each in self.hues))
        return said + (tr("; stripes run through it.") if self.stripes else ".")


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
        said = tr("Judged by eye: {seen}", seen=self.seen)
        if self.causes:
            cause = self.causes[0].words
            said = tr("Judged by eye: {seen} Likely cause: {cause}.", seen=self.seen, cause=cause)
        return {
            "notes": said,
            "change_next_time": self.change,
        }

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        if not self.causes:
            return tr("Print and screen look alike: nothing needs to be changed.")
        return tr("Most likely: {cause}.", cause=self.causes[0].words)

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
    match = _match(plan)
    facts = {**_seen(observations), **_known(observations, plan, match)}
    rows = _rows(observations)
    filled = _filled(facts, plan, match, rows)
    causes = []
    for key, rule in RULES.items():
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


def _seen(seen: Observations) -> dict[str, str]:
    """What was seen, each fact with what it says as a reason."""
    found = [seen.lightness, seen.contrast, seen.cast]
    facts = {each: tr("the print looks {how}", how=_LOOKS[each]) for each in found if each}
    tones = {"middle tones": "middle"}
    facts |= {tones.get(each, each): _SHOWS_IN[each] for each in seen.tones}
    if not seen.tones or len(seen.tones) == len(TONES):
        facts["everywhere"] = REASONS["everywhere"]
    if seen.hues:
        facts["hues"] = tr("{hues} look wrong", hues=listed(HUE_WORDS[each] for each in seen.hues))
    if sum(map(bool, (*found, seen.hues))) > 1:
        facts["several signs"] = REASONS["several signs"]
    flags = {
        "stripes": seen.stripes, "not dry": not seen.dried, "another light": not seen.stated_light,
        "halves differ": seen.chain_agrees is False, "halves agree": seen.chain_agrees is True,
        "wedge moved": seen.wedge_moved,
    }  # fmt: skip
    return facts | {name: REASONS[name] for name, true in flags.items() if true}


def _known(seen: Observations, plan, match: ScreenMatch | None) -> dict[str, str]:
    """What the plan knows that speaks for or against a cause."""
    paper, facts = getattr(plan, "paper", None), {}
    finish = getattr(paper, "finish", None)
    if finish in ("matte", "gloss"):
        facts[finish] = REASONS[finish]
    if getattr(plan, "glass", ""):
        facts["glass"] = REASONS["glass"]
    dark = seen.lightness == "darker" or seen.contrast == "flatter"
    compensates = getattr(plan, "intent", "") in ("relative", "saturation")
    if dark and compensates and not getattr(plan, "black_point_compensation", True):
        facts["compensation off"] = REASONS["compensation off"]
    # how much brighter than the print the screen is
    stops = None if match is None else match.stops_too_dark
    if stops is None:
        facts["screen not known"] = REASONS["screen not known"]
    elif abs(stops) < _STOPS:
        facts["screen matches"] = REASONS["screen matches"]
    else:
        facts["screen brighter" if stops > 0 else "screen dimmer"] = (
            tr("the screen is brighter by {stops:.1f} stops", stops=stops)
            if stops > 0
            else tr("the screen is dimmer by {stops:.1f} stops", stops=-stops)
        )
    if isinstance(paper, Paper) and paper.white_is_known:
        b = paper.white_lab[2]
        if (b > _TINT and seen.cast == "warmer") or (b < -_TINT and seen.cast == "cooler"):
            facts["tinted as seen"] = tr("the bare sheet has b* {b}", b=signed(b))
    if seen.hues and isinstance(paper, Paper) and getattr(plan, "picture", None) is not None:
        facts |= _out_of_gamut(seen, plan, paper)
    return facts


def _out_of_gamut(seen: Observations, plan, paper: Paper) -> dict[str, str]:
    try:
        report = gamut_report(plan.picture, paper, threshold=plan.threshold, exact=False)
    except WorkbenchError:  # a picture whose colours are not known
        return {}
    lost = [HUE_WORDS[name] for name in seen.hues if report.hues.get(name, 0) >= _HUE_SHARE]
    if not lost:
        return {"hues in gamut": ""}
    return {
        "hues out of gamut": tr(
            "{hues} of this picture lie beyond what the paper holds", hues=listed(lost)
        )
    }


def _match(plan) -> ScreenMatch | None:
    """The screen against the print in its place; None where the plan does not tell."""
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


def _filled(facts, plan, match: ScreenMatch | None, rows) -> dict[str, str]:
    """What stands in the rules' braces."""
    paper = getattr(plan, "paper", None)
    setting = clean_text(getattr(paper, "media_setting", None) or "")
    finish = getattr(paper, "finish", None)
    screen = tr("Set the brightness of your screen in the plan, under screen and light.")
    if match is not None:
        wanted = cd_words(match.screen_white_luminance_cd_m2)
        if "screen not known" in facts:
            screen = tr(
                "The print's white has {wanted} in its light: measure your screen's white or set "
                "it near that, and note it in the plan.",
                wanted=wanted,
            )
        else:
            screen = tr(
                "The print's white has {wanted} in its light: judge it in more light or less, or "
                "set the screen nearer to it, within its proofing range.",
                wanted=wanted,
            )
    strip = tr(
        "Print a strip with steps of {tried}, choose by eye, and change nothing else.",
        tried=ROW_WORDS.get(rows[0], "") if rows else tr("what you would change"),
    )
    lux = getattr(plan, "illuminance_lux", None)
    light = clean_text(str(getattr(plan, "light", "") or ""))
    return {
        "drying": drying_text(paper),
        "light": tr("{lux:,.0f} lux, {light}", lux=lux, light=light) if lux else tr("its light"),
        "chain": CHAIN_WRONG if "halves differ" in facts else CHAIN_UNKNOWN,
        "screen": screen,
        "every_sheet": EVERY_SHEET.get(finish or "")
        or (
            tr("as on every {finish} sheet", finish=word_of(finish))
            if finish
            else tr("as on every such sheet")
        ),
        "media": quoted(setting) if setting else tr("the one that the profile's maker names"),
        "strip": strip,
    }
