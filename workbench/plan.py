"""The plan: everything the person has decided, in one observable place.

Panels watch it and set it, and keep no state of their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import traitlets as t

from workbench.analysis.cost import PrintCost
from workbench.analysis.eye import eye_limit_ppi
from workbench.analysis.mount import print_for_opening
from workbench.analysis.seen import SeenDetail, seen_detail
from workbench.analysis.sheets import held_sheets, sheets_for
from workbench.analysis.size import print_size
from workbench.analysis.size_answer import PrintSize
from workbench.decisions import DECISIONS
from workbench.output.solved import Solved, solve, solved_cost
from workbench.paper import alike, among, same_sheet
from workbench.paper_readings import AnyPaper, with_profile
from workbench.printer import NAMES as PRINTER
from workbench.printer import Feed, Printer
from workbench.rendering import Rendering

UNITS = tuple(value for value, _ in DECISIONS["unit"].choices)
#: What the picture's size on paper follows from, see `Plan.print_size`.
SIZE_TRAITS = (
    "size_from", "ppi", "long_side_mm", "sheet", "viewing_distance_mm", "crop_ratio",
    "crop_across", "crop_down", "border_mm",
    "bottom_weight_mm", "moved_right_mm", "moved_down_mm",
    "mount_opening", "mount_overlap_mm", "bar_depth_mm", "bleed_mm", "bleed",
    "paper", "feed_path", *PRINTER,
)  # fmt: skip
#: What a print file's pixels follow from, see `workbench.output.job.PrintJob`.
JOB_TRAITS = (
    "picture", *SIZE_TRAITS, "intent", "black_point_compensation", "converts",
    "sharpening", "adjustments", "bit_depth", "compression", "on_sheet",
)  # fmt: skip
#: What an edition costs follows from these too.
PRICE_TRAITS = ("copies", "ink_ml_per_m2", "ink_price_per_ml", "test_strips", "reject_share")
#: Traits that hold a file, or what was made of one.
FILES = ("picture", "paper", "other_paper", "reference")
#: Traits that hold one of the papers at hand.
PAPER_ROLES = ("paper", "other_paper", "reference")
# ink belongs to the printer: what another plan does not know stays as it is
_KEPT_IF_NONE = ("ink_ml_per_m2", "ink_price_per_ml")


class Decided(t.TraitType):
    """A trait declared in `workbench.decisions` under its own name."""

    def class_init(self, cls, name):
        self.decision = DECISIONS[name]
        self.default_value = self.decision.default
        self.help = self.decision.comment
        super().class_init(cls, name)

    def validate(self, obj, value):
        return self.decision.check(value)


class Plan(t.HasTraits):
    """A print in the making.

    What it holds, within which limits and in which units, `workbench.decisions` says;
    setting anything else raises PlanError in a sentence.  ``size_from`` names what decides
    the size: ``ppi``, ``long_side_mm`` ("size"), ``sheet``, or ``viewing_distance_mm``; the
    others follow from it.

    Raises
    ------
    PlanError
        for a value that a decision cannot have.

    Examples
    --------
    >>> plan = Plan(threshold=3)
    >>> plan.rendering.threshold
    3.0
    """

    picture = t.Any(None, allow_none=True, help="the Picture to print")
    paper = t.Any(None, allow_none=True, help="the Paper to print on")
    papers = t.Tuple(help="the papers at hand, the chosen one among them")
    measured_paper = t.Any(None, allow_none=True, help="the readings opened last, a MeasuredPaper")
    other_paper = t.Any(None, allow_none=True, help="the paper compared with the chosen one")
    adjustments = t.Any(None, allow_none=True, help="Adjustments that the person has accepted")

    # what the size was asked for last, and what it is
    _sized: tuple = ((), None)

    size_from = Decided()
    ppi = Decided()
    long_side_mm = Decided()
    sheet = Decided()
    viewing_distance_mm = Decided()
    region = Decided()
    feed_path = Decided()
    printer_ppi = Decided()
    crop_ratio = Decided()
    crop_across = Decided()
    crop_down = Decided()
    border_mm = Decided()
    bottom_weight_mm = Decided()
    mount_opening = Decided()
    mount_overlap_mm = Decided()
    unit = Decided()

    intent = Decided()
    black_point_compensation = Decided()
    threshold = Decided()

    reference = Decided()
    adaptation = Decided()
    highlight_lightness = Decided()
    display = Decided()
    white_wish = Decided()
    screen_ppi = Decided()
    tolerance = Decided()

    illuminance_lux = Decided()
    light = Decided()
    glass = Decided()
    room_share = Decided()
    wall_reflectance = Decided()
    lamp_azimuth_deg = Decided()
    lamp_elevation_deg = Decided()
    lamp_size_cm = Decided()
    lamp_distance_m = Decided()
    even_light = Decided()
    screen_luminance_cd_m2 = Decided()
    screen_contrast_ratio = Decided()

    # how the file is made; the names are PrintJob's
    converts = Decided()
    sharpening = Decided()
    bit_depth = Decided()
    compression = Decided()
    on_sheet = Decided()
    moved_right_mm = Decided()
    moved_down_mm = Decided()
    bar_depth_mm = Decided()
    bleed_mm = Decided()
    bleed = Decided()
    description = Decided()

    printer_name = Decided()
    printer_width_mm = Decided()
    printer_length_mm = Decided()
    printer_rolls = Decided()
    margin_left_mm = Decided()
    margin_right_mm = Decided()
    margin_leading_mm = Decided()
    margin_trailing_mm = Decided()
    thick_leading_mm = Decided()
    thick_trailing_mm = Decided()
    thick_from_mm = Decided()
    thickest_mm = Decided()

    copies = Decided()
    ink_ml_per_m2 = Decided()
    ink_price_per_ml = Decided()
    test_strips = Decided()
    reject_share = Decided()
    notes = Decided()

    def copy(self, **changes) -> Plan:
        """A plan of its own that holds the same, but for ``changes``, by the traits' names.

        Raises
        ------
        traitlets.TraitError
            for a name that a plan does not have, or a value that it does not take.
        """
        copy = Plan(**{name: getattr(self, name) for name in self.class_trait_names()})
        for name, value in changes.items():
            copy.set_trait(name, value)
        return copy

    # changes of several traits at once, with watchers told at the end ----------------

    def choose(self, paper: AnyPaper) -> AnyPaper:
        """Print on a paper, put at hand unless this sheet is; returns the one that is chosen."""
        with self.hold_trait_notifications():
            self.paper = self._at_hand(paper)
        return self.paper

    def swap(self, old, new) -> None:
        """Let the paper ``new`` take the place of ``old`` in every role."""
        with self.hold_trait_notifications():
            self.papers = tuple(new if paper is old else paper for paper in self.papers)
            for role in PAPER_ROLES:
                if getattr(self, role) is old:
                    setattr(self, role, new)

    def take_away(self, paper: AnyPaper, instead=None) -> None:
        """Take a paper out of the plan; where it is printed on, print on ``instead``."""
        with self.hold_trait_notifications():
            self.papers = tuple(each for each in self.papers if each is not paper)
            for role in PAPER_ROLES:
                if getattr(self, role) is paper:
                    setattr(self, role, instead if role == "paper" else None)

    def bring_in(self, before: Sequence, now: Sequence, moved: Mapping | None = None) -> list:
        """Put a shelf's papers at hand in the place of those it had before.

        Papers are compared as objects wherever they are chosen, so one that takes another's
        place does so in all roles at once.  Papers opened by hand stay.  Whatever was chosen
        stays chosen; of a paper that is gone, the one of the same name or the neighbour is
        printed on.

        Parameters
        ----------
        before : the papers that the shelf had put at hand, as objects.
        now : those it has now.
        moved : ``id`` of a paper -> the one of ``now`` that takes its place, where names do
            not tell.

        Returns
        -------
        ``now``, with papers that were at hand already as the same objects.
        """
        kept = [next((each for each in self.papers if alike(each, paper)), paper) for paper in now]
        places = {id(new): each for new, each in zip(now, kept, strict=True)}
        place = {old: places[id(new)] for old, new in (moved or {}).items()}
        for paper in self.papers:
            twin = next((each for each in kept if same_sheet(each, paper)), None)
            if twin is not None and twin is not paper:
                place.setdefault(id(paper), twin)
        by_hand = [
            paper
            for paper in self.papers
            if id(paper) not in place and not among(paper, (*before, *kept))
        ]
        chosen = place.get(id(self.paper), self.paper)
        if chosen is not None and not among(chosen, (*kept, *by_hand)):
            if among(chosen, before):
                chosen = _instead(chosen, before, kept)
            if not among(chosen, kept):
                by_hand.append(chosen)
        with self.hold_trait_notifications():
            self.papers = (*kept, *by_hand)
            self.paper = chosen
            for role in PAPER_ROLES[1:]:
                holder = getattr(self, role)
                if id(holder) in place:
                    setattr(self, role, place[id(holder)])
                elif among(holder, before) and not among(holder, self.papers):
                    setattr(self, role, None)
        return kept

    def take_over(self, other: Plan, files=FILES) -> None:
        """Hold what ``other`` does; papers at hand stay, and are not doubled.

        Readings that are open stay, and so do the printer's ink and its price where the
        other plan does not know them.

        Parameters
        ----------
        files : those of `FILES` to take; the rest stay as they are.
        """
        kept = {"papers", "measured_paper", *FILES}
        kept |= {name for name in _KEPT_IF_NONE if getattr(other, name) is None}
        with self.hold_trait_notifications():
            for name in other.trait_names():
                if name not in kept:
                    setattr(self, name, getattr(other, name))
            for paper in other.papers:
                self._at_hand(paper)
            for name in files:
                value = getattr(other, name)
                is_paper = name != "picture" and value is not None and not isinstance(value, str)
                setattr(self, name, self._at_hand(value) if is_paper else value)

    def see_beside(self, reference) -> None:
        """Lay a white sheet or a paper beside the print, or with None take it away.

        Where nothing lay there, the eye starts side by side; else the choice would change
        nothing.
        """
        with self.hold_trait_notifications():
            if reference is None:
                self.adaptation = 1.0
            elif self.reference is None:
                self.adaptation = 0.0
            self.reference = reference

    def _at_hand(self, paper: AnyPaper):
        """The paper at hand that is this sheet; itself, put there, if there is none."""
        if among(paper, self.papers):
            return paper
        for each in self.papers:
            if same_sheet(each, paper):
                return each
        self.papers = (*self.papers, paper)
        return paper

    # what follows from it ------------------------------------------------------------

    def second_paper(self):
        """The paper shown beside the chosen one, or None where there is no other.

        The plan's own; without one the first at hand of the other kind of finish, and failing
        that the first other one.
        """
        from workbench.analysis.black import is_matte

        chosen = self.paper
        if self.other_paper is not None and self.other_paper is not chosen:
            return self.other_paper
        others = [paper for paper in with_profile(self.papers) if paper is not chosen]
        unlike = [paper for paper in others if is_matte(paper) != is_matte(chosen)]
        return next(iter(unlike or others), None)

    @property
    def rendering(self) -> Rendering:
        """What answers about the picture on the paper depend on, apart from these two."""
        return Rendering.of(self)

    @property
    def printer(self) -> Printer:
        """The printer that is printed on, with what is known of it."""
        return Printer.of(self)

    def use(self, printer: Printer) -> None:
        """Print on another printer, or on this one as it is known now."""
        with self.hold_trait_notifications():
            for name in PRINTER:
                setattr(self, name, getattr(printer, name))

    @property
    def feed(self) -> Feed:
        """How the paper goes through the printer."""
        return self.printer.feed(self.feed_path, getattr(self.paper, "thickness_mm", None))

    def print_size(self, paper: AnyPaper | None = None) -> PrintSize:
        """The size that follows from the plan.

        Parameters
        ----------
        paper : whose sheets are looked through; by default the plan's.

        Raises
        ------
        SizeError
            where its numbers do not add up.
        """
        if paper is not None and paper is not self.paper:
            return self._solved_size(paper)
        # one move of a slider is followed by several who ask; a picture that leaves is not held
        picture = self.picture
        pixels = None if picture is None else (picture.width_px, picture.height_px)
        asked = pixels, *(getattr(self, name) for name in SIZE_TRAITS)
        kept = self._sized
        if kept[0] != asked:
            kept = self._sized = asked, self._solved_size(self.paper)
        return kept[1]

    def _solved_size(self, paper: AnyPaper | None) -> PrintSize:
        decides = {}
        if self.size_from == "ppi":
            decides = {"ppi": self.ppi}
        elif self.size_from == "size":
            decides = {"long_side_mm": self.long_side_mm}
        elif self.size_from == "viewing distance":
            # as a resolution, because a sheet would decide before the distance does
            decides = {"ppi": eye_limit_ppi(self.viewing_distance_mm)}
        elif self.size_from == "opening" and self.mount_opening:
            lies = self.picture.width_px >= self.picture.height_px
            width, height = print_for_opening(
                self.mount_opening, self.mount_overlap_mm, landscape=lies
            )
            decides = {"width_mm": width, "height_mm": height}
        feed = self.printer.feed(self.feed_path, getattr(paper, "thickness_mm", None))
        held = held_sheets(paper)
        return print_size(
            self.picture,
            **decides,
            feed=feed,
            sheets=sheets_for(self.region, feed, held=held, rolls=self.printer_rolls),
            held=held,
            sheet=self.sheet or None,
            printer_ppi=self.printer_ppi,
            crop_ratio=None if "width_mm" in decides else self.crop_ratio or None,
            crop_position=(self.crop_across, self.crop_down),
            borders_mm=(
                *2 * (self.border_mm,),
                self.border_mm + self.bottom_weight_mm,
                self.border_mm,
            ),
            bleed_mm=self.bar_depth_mm + self.bleed_mm,
            bleed=self.bleed,
            overlap_mm=self.mount_overlap_mm,
            moved_mm=(self.moved_right_mm, self.moved_down_mm),
        )

    def seen_detail(self) -> SeenDetail:
        """What of the picture's detail is seen at this size.

        Raises
        ------
        SizeError, UntaggedPictureError, PictureError
            as `workbench.analysis.seen.seen_detail`.
        """
        return seen_detail(
            self.picture,
            ppi=self.print_size().ppi,
            viewing_distance_mm=self.viewing_distance_mm,
            printer_ppi=self.printer_ppi,
        )

    def solved(self) -> Solved:
        """Job, layout, place on the sheet and price: the one solution that all speak of.

        Raises
        ------
        OutputError, SizeError, ProfileError, PaperError, UntaggedPictureError
            for a plan that does not add up; the message says what to change.
        """
        return solve(self)

    def cost(self) -> PrintCost:
        """What the print costs; known without a paper or a printable picture too, as far as it goes.

        Raises
        ------
        OutputError, SizeError
            where it has no size.
        """
        return solved_cost(self)


def _instead(gone, before, now):
    """The paper to print on when the chosen one is gone; itself if there is no other."""
    if not now:
        return gone
    at = next(i for i, each in enumerate(before) if each is gone)
    same_name = (paper for paper in now if paper.name == gone.name)
    return next(same_name, now[min(at, len(now) - 1)])
