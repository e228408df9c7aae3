"""The proof panel's controls, and the choice of the display."""

from __future__ import annotations

import os

from workbench.analysis.own_display import OwnDisplay, display_words, own_displays
from workbench.analysis.screen_profiles import screen_profiles
from workbench.analysis.viewing import find_display
from workbench.colour.spaces import space_label
from workbench.figures.proof_picture import DIFFERENCE, LIMITED, SPLIT
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.knobs import told
from workbench.panels.parts.folders import clean_path
from workbench.rendering import DEFAULTS

OWN = "\0own"
#: The spaces that most screens come near to.
DISPLAYS = tuple((space_label(name), name) for name in ("sRGB", "Display P3", "opRGB"))
VIEWS = (
    (tr("picture and print, with a divider"), SPLIT),
    (tr("how far the print is from the picture"), DIFFERENCE),
    (tr("what paper or display cannot hold"), LIMITED),
)


def view_choice(front):
    return parts.choice(
        front,
        tr("Show"),
        options=list(VIEWS),
        help=tr(
            "The print beside the picture, a map of their difference, or marks on what the "
            "paper or the display cannot hold"
        ),
    )


def divider_slider(front):
    made = parts.slider(
        front,
        tr("Divider"),
        value=50,
        min=0,
        max=100,
        unit=tr("% from the left"),
        help=tr("Left of the divider is the picture, right of it the print"),
    )
    made.widget.layout.width = "640px"
    return made


class DisplayChooser:
    """A standard space, or a profile of one's own from a path or the system's folders.

    Sets ``plan.display``, and only to what can be used as a display.  Where the system names
    one profile for the screen and none has been chosen, that is taken, and said.
    """

    def __init__(self, plan, front, status):
        self.plan, self._status = plan, status
        self._looking = front.scheduler.on(parts.FILES, rest_s=0)
        safely = parts.guarded(status)
        label, help = told("display")
        self.choice = parts.choice(
            front, label, options=[*DISPLAYS, (tr("a profile of yours …"), OWN)], help=help
        )
        self.path = parts.text(
            front,
            tr("Your screen's profile (file)"),
            placeholder=tr("a file ending in .icc or .icm"),
            help=tr("The profile that was made by measuring your screen, or came with it"),
        )
        self.search = parts.button(
            front,
            tr("Look in the system's folders"),
            safely(self._search),
            help=tr("List the screen profiles that are on this computer"),
        )
        self.found = parts.choice(
            front,
            tr("Screen profiles found"),
            options=[(tr("choose one"), "")],
            help=tr("Profiles of screens in the system's folders"),
        )
        self.found.visible = False
        self.said = parts.html("", "wb-muted")
        self.own = parts.column(parts.row(self.path, self.search), self.found, self.said)
        self.own.layout.display = "none"
        self._named: tuple[OwnDisplay, ...] | None = None
        self.taken = parts.html("", "wb-muted")
        self.choice.on_change(safely(self._chosen))
        self.path.on_change(safely(lambda text: text.strip() and self.use(clean_path(text))))
        self.found.on_change(safely(lambda path: path and self.use(path)))
        plan.observe(lambda change: self._follow(), names=["display"])
        safely(self._follow)()
        self._looking.submit("own", lambda cancelled, progress: own_displays(), self._name)

    def _name(self, named: tuple[OwnDisplay, ...]) -> None:
        self._named = named
        if len(named) == 1 and self.plan.display == DEFAULTS.display:
            self.plan.display = named[0].source
        self._follow()

    def use(self, display) -> None:
        """Show the proof on this display from now on.  Raises as `find_display`."""
        find_display(display)
        self.plan.display = display

    def _chosen(self, value) -> None:
        self.own.layout.display = "" if value == OWN else "none"
        if value != OWN:
            self.use(value)

    def _follow(self) -> None:
        display = self.plan.display
        parts.set_html(self.taken, display_words(display, self._named), "wb-muted")
        own = [
            (tr("{name} (by {how})", name=each.name, how=each.how), each.source)
            for each in self._named or ()
        ]
        if all(display != value for _, value in (*DISPLAYS, *own)):
            # its own line in the list, so that what is chosen can be read there
            own.append((find_display(display).name, display))
        self.choice.replace([*DISPLAYS, *own, (tr("a profile of yours …"), OWN)], display)

    def _search(self) -> None:
        self._looking.submit(
            "screens",
            lambda cancelled, progress: screen_profiles(cancelled=cancelled),
            self._list,
            status=self._status,
        )

    def _list(self, outcome) -> None:
        profiles, problems = outcome
        options = [(f"{name} ({path.name})", os.fspath(path)) for name, path in profiles]
        self.found.replace([(tr("choose one"), ""), *options], "")
        self.found.visible = bool(profiles)
        words = (
            tr("{count} found.", count=len(profiles))
            if profiles
            else tr("No screen profile was found; type a path.")
        )
        parts.set_html(self.said, " ".join([words, *problems]), "wb-muted")
