"""A lecture: one picture and some papers, and the parts that a class is led through."""

from __future__ import annotations

from workbench.decisions import DECISIONS
from workbench.errors import WorkbenchError
from workbench.files.session import named_here
from workbench.language import numeral, tr
from workbench.lectures.shown import (
    FIGURE_PX,
    Shown,
    figure_shown,
    said_shown,
    source_shown,
    table_shown,
    tidy,
)
from workbench.lectures.widgets import Asked, Bar, Knob
from workbench.picture.picture import Picture

INVENTED = tr("The picture and the papers are invented; no shop sells them.")
OWN = tr("Your own files.")
MIXED = tr("Your own files; what you did not name is invented.")
PROJECTOR = (
    tr(
        "A projector cannot show a paper's white: its white is the wall, lit by its own lamp. The "
        "tint of a paper is seen only beside another paper."
    ),
    tr(
        "Its black is the room's own light on the wall. A print's black of density 2.3 sends back "
        "one two-hundredth of the light, less than most rooms leave on a wall (common practice, no "
        "source)."
    ),
)


def lecture(picture: Picture | str | None = None, papers=None) -> Lecture:
    """Begin a lecture, on invented data or on one's own.

    As the last line of a cell it shows what the lecture runs on and the button that presents
    it. The notebooks that come with the workbench each begin with such a cell; to teach on
    your own files, change this cell and nothing else.

    Parameters
    ----------
    picture : a Picture or a path; by default the one named on the command line, or the
        invented one.
    papers : a Paper or a profile's path, or several of them; by default those named on the
        command line. Invented papers stand behind them, so that there is always something to
        compare with.

    Returns
    -------
    A `Lecture`.

    Raises
    ------
    FileError, PictureError, ProfileError
        for files that cannot be opened.
    UntaggedPictureError
        for a picture without a profile: open it with ``wb.open_picture(path,
        assume_profile="sRGB")`` and give that.

    Examples
    --------
    >>> lecture = wb.lecture(picture, papers[0])
    >>> lecture.paper is papers[0], len(lecture.papers) > 1
    (True, True)
    >>> question = lecture.guess("Which is darker?", ["gloss", "matte"], 0, "Gloss is.")
    >>> question.shown
    False
    """
    from workbench.demo import demo_papers, demo_picture
    from workbench.panels.sources.panel import as_picture
    from workbench.panels.sources.papers import as_paper

    named = named_here()
    picture = named.picture if picture is None else picture
    papers = list(named.papers) if papers is None else papers
    several = papers if isinstance(papers, (list, tuple)) else [papers]
    own = [as_paper(each) for each in several]
    shown = demo_picture() if picture is None else as_picture(picture)
    shown.require_profile()
    others = [each for each in demo_papers() if each not in own]
    given = [picture is not None, bool(own)]
    said = OWN if all(given) else MIXED if any(given) else INVENTED
    # most lectures want the invented matte cotton where nothing is said
    return Lecture(shown, (*own, *others), said, own[0] if own else others[2])


class Lecture:
    """What a lecture runs on, and its parts.

    Attributes
    ----------
    picture : a Picture with a profile.
    papers : one's own first, then invented ones.
    paper : the first of one's own, or else the invented matte cotton.
    deepest, shallowest : the papers with the deepest and the shallowest black.
    plan : a Plan of these, which knobs set and panels can share.
    """

    def __init__(self, picture, papers, said: str, paper):
        from workbench.plan import Plan

        self.picture, self.papers, self.said, self.paper = picture, papers, said, paper
        by_black = sorted(papers, key=lambda paper: paper.contrast_ratio)
        self.shallowest, self.deepest = by_black[0], by_black[-1]
        self.plan = Plan(picture=picture, papers=papers, paper=self.paper)
        self._parts: list = []
        self._first: dict = {}

    def _repr_mimebundle_(self, **options):
        return Bar(self.said, self.reset)._repr_mimebundle_(**options)

    def reset(self) -> None:
        """Hide all answers again, clear the votes, put every knob back."""
        for part in self._parts:
            part.reset()
        for name, value in self._first.items():
            setattr(self.plan, name, value)

    def guess(self, question: str, options, right, because: str) -> Asked:
        """A question that the class votes on before it is answered.

        Parameters
        ----------
        question : to be read aloud.
        options : what can be voted for, two or more.
        right : place of the right one, or the option itself.
        because : the answer, hidden at first.

        Raises
        ------
        WorkbenchError
            where the right one is not among the options.
        """
        options = [str(each) for each in options]
        place = options.index(str(right)) if str(right) in options else right
        if len(options) < 2 or not isinstance(place, int) or not 0 <= place < len(options):
            raise WorkbenchError(
                tr(
                    "The right answer “{right}” is not one of {count} options; give one of them, "
                    "or its place counted from 0.",
                    right=right,
                    count=len(options),
                )
            )
        return self._kept(
            Asked(
                kind="guess", question=tidy(question), options=[tidy(each) for each in options],
                right=place, answer=tidy(because), votes=[0] * len(options),
            )
        )  # fmt: skip

    def exercise(self, question: str, answer: str) -> Asked:
        """Something to work out, with its answer hidden at first."""
        return self._kept(Asked(kind="exercise", question=tidy(question), answer=tidy(answer)))

    def knob(self, draw, label: str = "", start: int = 0, **decision) -> Knob:
        """A slider of a few stops, and what is seen at each.

        Parameters
        ----------
        draw : a function of the value at the stop; returns a result, figure, proof or pixels,
            or a sentence, or a pair of a picture and a sentence.
        label : of the slider; a decision brings its own.
        start : place of the stop to begin at.
        decision : one name of a plan's decision, or any other, with its values:
            ``threshold=(1, 2, 4)``. A decision is set in the lecture's plan.

        Raises
        ------
        WorkbenchError
            for no values, or more than one name.
        """
        if len(decision) != 1 or not next(iter(decision.values())):
            raise WorkbenchError(tr("A knob turns one thing: give one name with its values."))
        ((name, values),) = decision.items()
        declared = DECISIONS.get(name)
        if declared is not None:
            self._first.setdefault(name, getattr(self.plan, name))
            label = label or declared.label
        stops = values
        if not isinstance(values, dict):
            stops = {_stop(each, declared): each for each in values}
        held = list(stops.values())

        def drawn(at: int):
            if declared is not None:
                setattr(self.plan, name, held[at])
            return draw(held[at])

        return self._kept(Knob(label or name, stops, drawn, start))

    def figure(self, thing, alt: str = "", caption: str = "", size_px=FIGURE_PX) -> Shown:
        """A still picture of a result, figure, proof or pixels, with what it shows in words."""
        return figure_shown(thing, alt, caption, size_px)

    def table(self, heads, rows, caption: str = "") -> Shown:
        """A small table: heads, and rows of as many cells."""
        return table_shown(heads, rows, caption)

    def say(self, *sentences: str) -> Shown:
        """Sentences that depend on the picture or the papers."""
        return said_shown(sentences)

    def source(self, *sentences: str) -> Shown:
        """Where figures come from, hidden until asked for."""
        return source_shown(sentences)

    def projector(self) -> Shown:
        """A page to judge the projector by: grey steps, and whether primaries are clipped."""
        from workbench.figures.projector import HOW_TO, projector_figure

        return figure_shown(projector_figure(), caption=" ".join(HOW_TO))

    def projector_limits(self) -> Shown:
        """What no projector shows, and what is lost of these papers' blacks."""
        from workbench.analysis.projector import on_projector

        return said_shown((*PROJECTOR, on_projector(self.papers).sentence))

    def _kept(self, part):
        self._parts.append(part)
        return part


def _stop(value, declared) -> str:
    """A stop of a knob in words: that of a choice, or a number with its unit."""
    if declared is not None and declared.choices:
        return declared.words(value)
    if isinstance(value, str):
        return value
    unit = "" if declared is None else declared.unit
    return numeral(value) + ("" if unit in ("", "°", ":1") else " ") + unit
