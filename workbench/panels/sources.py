"""Opening pictures and papers on the desk, and the question a picture without a profile asks."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.errors import WorkbenchError
from workbench.panels import parts
from workbench.panels.parts.encode import png
from workbench.paper import BASES, BLACK_INKS, FINISHES, SURFACE_TEXTURES, Paper, open_paper
from workbench.picture import Picture, open_picture
from workbench.picture.assume import assumption_previews

PICTURE_EXTENSIONS = (".tif", ".tiff", ".png", ".jpg", ".jpeg")
PAPER_EXTENSIONS = (".icc", ".icm")

_DETAILS = (
    ("surface_texture", "Surface texture", SURFACE_TEXTURES),
    ("finish", "Finish", FINISHES),
    ("base", "Base", BASES),
    ("black_ink", "Black ink", BLACK_INKS),
    ("weight_g_m2", "Weight (g/m²)", ()),
    ("printer", "Printer", ()),
    ("media_setting", "Media setting in the printer's driver", ()),
)


def as_picture(source) -> Picture:
    """A Picture, from itself or a path."""
    return source if isinstance(source, Picture) else open_picture(source)


def as_paper(source) -> Paper:
    """A Paper, from itself or a profile's path."""
    return source if isinstance(source, Paper) else open_paper(source)


class Sources:
    """Two choosers, the assumption question, and the paper's characteristics.

    Opens files into the plan; what cannot be opened leaves the plan as it was.
    """

    def __init__(self, plan, front, status):
        self.plan = plan
        self._waiting: Picture | None = None
        self._front = front
        self._safely = parts.guarded(status)
        self.picture = parts.FileChooser(
            front,
            "Picture file (TIFF, PNG, JPEG)",
            self._open_picture,
            extensions=PICTURE_EXTENSIONS,
            help="Where the picture lies on this computer; it is only read",
        )
        self.paper = parts.FileChooser(
            front,
            "Paper profile (ICC output profile)",
            self._open_paper,
            extensions=PAPER_EXTENSIONS,
            help="The profile for this paper on your printer",
        )
        self.question = parts.column()
        self.question.layout.display = "none"
        self.details = {
            name: widgets.Combobox(options=offered, ensure_option=False, continuous_update=False)
            for name, _, offered in _DETAILS
        }
        fields = []
        for name, label, _ in _DETAILS:
            field = self.details[name]
            front.tag(field, aria_label=label)
            field.observe(self._safely(lambda change, n=name: self._detail(n, change)), "value")
            box = parts.column(parts.html(label, "wb-label"), field)
            box.add_class("wb-field")
            fields.append(box)
        self._details_status = status
        self.facts = parts.html("")
        self.widget = parts.column(
            parts.row(parts.wide(self.picture), parts.wide(self.paper)),
            self.question,
            parts.heading("What you know of this paper", 4),
            parts.row(*fields),
            parts.heading("What the files say", 4),
            self.facts,
        )
        self._filling = False
        plan.observe(self._fill, names=["paper", "picture"])
        self._fill()

    # pictures -------------------------------------------------------------

    def _open_picture(self, source) -> None:
        if isinstance(source, tuple):
            name, data = source
            picture = open_picture(data, name=name)
        else:
            picture = open_picture(source)
        self.offer(picture)

    def offer(self, picture: Picture) -> None:
        """Put a picture into the plan; one without a profile is asked about first."""
        if picture.profile is not None:
            self._answered()
            self.plan.picture = picture
            return
        self._waiting = picture
        self.question.children = self._ask(picture)
        self.question.layout.display = ""

    def _ask(self, picture: Picture) -> tuple:
        choices = []
        for space, preview in assumption_previews(picture):
            image = widgets.Image(value=png(preview), format="png")
            image.add_class("wb-assumption")
            self._front.tag(image, alt=f"The picture, if its colours are {space}")
            choose = parts.button(
                self._front,
                space,
                self._safely(lambda s=space: self.assume(s)),
                help=f"Go on with {space}",
            )
            choices.append(parts.column(image, choose))
        hint = ""
        if picture.profile_hint:
            hint = f" A weaker note in the file points to {picture.profile_hint}."
        return (
            parts.Sentence(
                "A picture without a colour profile",
                f"“{picture.name}” does not say what its numbers mean as colours. "
                f"Which of these looks right?{hint}",
            ).widget,
            parts.row(*choices),
        )

    def assume(self, space: str) -> None:
        """Go on with the waiting picture in the space the person chose."""
        if self._waiting is None:
            raise WorkbenchError("No picture is waiting for a colour profile.")
        picture = self._waiting.assume(space)
        self._answered()
        self.plan.picture = picture

    def _answered(self) -> None:
        self._waiting = None
        self.question.layout.display = "none"
        self.question.children = ()

    # papers ---------------------------------------------------------------

    def _open_paper(self, source) -> None:
        if isinstance(source, tuple):
            name, data = source
            paper = open_paper(data, name=None)
            if not paper.icc.description:
                paper = paper.with_details(name=name)
        else:
            paper = open_paper(source)
        self.plan.papers = (*self.plan.papers, paper)
        self.plan.paper = paper

    def _detail(self, name: str, change) -> None:
        if self._filling or self.plan.paper is None:
            return
        old = self.plan.paper
        new = old.with_details(**{name: change["new"].strip() or None})
        with self.plan.hold_trait_notifications():
            self.plan.papers = tuple(new if p is old else p for p in self.plan.papers)
            self.plan.paper = new

    def _fill(self, change=None) -> None:
        """Show the chosen paper's details and the files' facts."""
        paper, picture = self.plan.paper, self.plan.picture
        self._filling = True
        try:
            for name, field in self.details.items():
                value = getattr(paper, name, None) if paper else None
                field.value = "" if value is None else f"{value:g}" if name == "weight_g_m2" else value
        finally:
            self._filling = False
        rows = []
        if picture is not None:
            rows += _picture_facts(picture)
        if paper is not None:
            rows += _paper_facts(paper)
        self.facts.value = facts_table(rows)


def facts_table(rows) -> str:
    """HTML of (name, value) rows, escaped."""
    from html import escape

    body = "".join(f"<tr><th>{escape(k)}</th><td>{escape(v)}</td></tr>" for k, v in rows)
    return f'<table class="wb-facts">{body}</table>'


def _lab(lab) -> str:
    return f"L* {lab[0]:.1f}, a* {lab[1]:+.1f}, b* {lab[2]:+.1f}".replace("-", "−")


def _picture_facts(picture: Picture) -> list[tuple[str, str]]:
    assumed = ", chosen by you" if picture.profile_assumed else ""
    ppi = f"{picture.ppi_tag:g} ppi" if picture.ppi_tag else "none"
    rows = [
        ("Picture", picture.name or "unnamed"),
        (
            "Pixels",
            f"{picture.width_px} × {picture.height_px} ({picture.megapixels:.1f} MP), "
            f"{picture.bit_depth} bits, {'grey' if picture.channels == 1 else 'RGB'}",
        ),
        ("Colour space", f"{picture.profile_name}{assumed}"),
        ("Resolution noted in the file", ppi),
    ]
    return rows + [("Note", note) for note in picture.notes]


def _paper_facts(paper: Paper) -> list[tuple[str, str]]:
    facts, icc = paper.facts, paper.icc
    shared = "".join(f"; {a} shares the tables of {b}" for a, b in facts.shared_intents)
    cast = facts.neutral_cast_lab
    rows = [
        ("Paper", paper.name + (" (invented: a model, not a product)" if paper.invented else "")),
        ("Profile", f"{icc.description}, ICC version {icc.version[0]}.{icc.version[1]}, {icc.space}"),
        ("Tables for", ", ".join(facts.intents) + shared),
        ("White (absolute)", _lab(facts.white_lab)),
        ("Black (absolute)", f"{_lab(facts.black_lab)}; density {facts.black_density:.2f}"),
        ("Darkest printable (absolute)", _lab(facts.darkest_lab)),
        ("Contrast ratio", f"{facts.contrast_ratio:.0f} : 1"),
        ("Gamut volume", f"{facts.gamut_volume:,.0f} cubic Lab units (absolute)".replace(",", " ")),
        (
            "Cast of the grey scale (relative)",
            f"a* {cast[1]:+.1f}, b* {cast[2]:+.1f} on average, chroma up to ".replace("-", "−")
            + f"{facts.neutral_cast_chroma:.1f}",
        ),
        ("Noise of the profile's tables", f"{facts.noise_floor:.1f} CIEDE2000"),
    ]
    tag, table = facts.white_tag_lab, facts.white_lab
    if not facts.white_is_known:
        rows.append(("Note", "The profile states the white of the perfect diffuser: its tint is unknown."))
    elif max(abs(a - b) for a, b in zip(tag, table, strict=True)) > 0.2:
        rows.append(("White by the profile's tag (absolute)", _lab(tag)))
    return rows
