"""One view of the same part of the picture on up to six papers, moved and enlarged together."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.crops import highlight_box, shadow_box
from workbench.analysis.words import tint_words
from workbench.characteristics import word_of
from workbench.figures.compare_view import (
    WALL_NAMES,
    Hanging,
    Window,
    hung,
    hung_large,
    most_zoom,
    window_at,
)
from workbench.figures.white_steps import side_by_side
from workbench.language import tr
from workbench.panels import parts
from workbench.panels.parts.sentences import set_html
from workbench.panels.view import View
from workbench.panels.white.words import captions

_BORDER_PX, _GAP_PX, _PAD_PX = 9, 14, 14
_HIGHEST_PX, _WIDEST_PX, _NARROWEST_PX = 320, 420, 120
_TWO_FROM_PX, _THREE_FROM_PX = 360, 560
EXPORT_PX = 640


class LinkedView:
    """Controls and tiles; ``body`` holds the items to lay out.

    Parameters
    ----------
    owner : the panel.
    """

    def __init__(self, owner):
        self.plan, self.front, self._owner = owner.plan, owner.front, owner
        front = owner.front
        self._room_px = 700
        self._styled: tuple = ()
        self.zoom = parts.slider(
            front, tr("Enlarged"), value=1.0, min=1.0, max=8.0, step=0.1, unit=tr("times"),
            help=tr("1 shows the whole picture on every paper; at the right end one pixel of the "
            "picture takes one pixel of the screen"),
        )  # fmt: skip
        self.across = parts.slider(
            front, tr("Across"), value=50, min=0, max=100, step=0.1, unit="%",
            help=tr("Where the middle of what is shown lies, from the left side of the picture"),
        )  # fmt: skip
        self.down = parts.slider(
            front, tr("Down"), value=50, min=0, max=100, step=0.1, unit="%",
            help=tr("Where the middle of what is shown lies, from the top of the picture"),
        )  # fmt: skip
        self.wall = parts.choice(
            front, tr("Papers lie on"), options=[(name, wall) for wall, name in WALL_NAMES.items()],
            help=tr("A neutral grey, or a neutral wall that is white or dark: what surrounds a "
            "print changes how light and how tinted it looks"),
        )  # fmt: skip
        owner.look(self.zoom, self.across, self.down, self.wall)
        self.whole, self.highlights, self.shadows = (
            parts.button(front, label, owner.safely(lambda box=box: self._jump(box)), help=said)
            for label, box, said in (
                (tr("Whole picture"), None, tr("Show all of the picture on every paper")),
                (
                    tr("Highlights"),
                    highlight_box,
                    tr("Enlarge the part with most detail near white"),
                ),
                (tr("Shadows"), shadow_box, tr("Enlarge the part with most detail near black")),
            )
        )
        self.rows = [parts.PictureView(front) for _ in range(6)]
        self.said = [widgets.HTML() for _ in self.rows]
        columns = zip(self.rows, self.said, strict=True)
        self._columns = [parts.column(view, caption) for view, caption in columns]
        for column in self._columns:
            column.layout.display = "none"
            column.layout.grid_gap = "4px"
        self._css = widgets.HTML()
        self._place = parts.column(self._css, *self._columns)
        self._class = f"wb-compare-{id(self)}"
        self._place.add_class(self._class)
        self.note = parts.html("", "wb-muted")
        front.listen(self._place, "width", owner.safely(self._room_changed))
        knobs = parts.row(self.zoom, self.across, self.down, self.wall)
        knobs.add_class("wb-knobs")
        self.body = [
            knobs,
            parts.row(self.whole, self.highlights, self.shadows),
            self._place,
            self.note,
        ]

    # where -------------------------------------------------------------------

    def _jump(self, find) -> None:
        """The whole picture, or the box that a function finds, one pixel for one pixel."""
        picture = self.plan.picture
        if picture is None:
            return
        zoom, across, down = 1.0, 50, 50
        if find is not None:
            x, y, width, height = find(picture, self._tile_px())
            zoom = self.zoom.high
            across = 100 * (x + width / 2) / picture.width_px
            down = 100 * (y + height / 2) / picture.height_px
        self.zoom.value, self.across.value, self.down.value = zoom, across, down
        self._owner._changed(None)

    def window(self) -> Window:
        """What of the picture is shown."""
        # at the slider's end to the pixel, which its rounded value would average
        at_end = self.zoom.value >= self.zoom.high
        zoom = self._one_to_one() if at_end else self.zoom.value
        return window_at(self.plan.picture, zoom, self.across.value / 100, self.down.value / 100)

    def _one_to_one(self) -> float:
        """The zoom at the slider's right end."""
        return max(1.1, most_zoom(self.plan.picture, self._tile_px()))

    # how large -----------------------------------------------------------------

    def _columns_for(self, papers: int) -> int:
        if self._room_px < _TWO_FROM_PX or papers == 1:
            return 1
        return 2 if self._room_px < _THREE_FROM_PX or papers in (2, 4) else 3

    def _tile_px(self) -> tuple[int, int]:
        """Width and height of a tile in screen pixels."""
        picture = self.plan.picture
        columns = self._columns_for(max(len(self._owner.with_profile), 1))
        room = (self._room_px - 2 * _PAD_PX - (columns - 1) * _GAP_PX) / columns - 2 * _BORDER_PX
        shape = picture.width_px / picture.height_px
        width = int(min(max(room, _NARROWEST_PX), _WIDEST_PX, _HIGHEST_PX * shape))
        high = max(1, round(width / shape))
        return self._owner.fine(max(width, 1)), self._owner.fine(high)

    def _room_changed(self, content: dict) -> None:
        room = int(content.get("width", 0))
        if room > 0 and room != self._room_px:
            self._room_px = room
            self._owner._changed(content)

    # showing -------------------------------------------------------------------

    def shows(self) -> tuple[View, ...]:
        """The panel's views of the picture on its papers."""
        return (
            View("zoom", self._most_zoom, float, self._fit_zoom),
            View("tiles", self._seen, hung_in, self._show, forget=self._forget),
        )

    def _most_zoom(self) -> float:
        return round(self._one_to_one(), 1)

    def _fit_zoom(self, most: float) -> None:
        self.zoom.limits(1.0, most)
        self.zoom.value = min(self.zoom.value, most)

    def hanging(self, long_side_px: int, border_px: int = 0) -> Hanging | None:
        """What is in view, at a size of tiles; None without a paper that has a profile."""
        plan, papers = self.plan, tuple(self._owner.with_profile)
        if not papers:
            return None
        plan.picture.require_profile()
        return Hanging(
            plan.picture, papers, self.window(), self.wall.value,
            plan.intent, plan.black_point_compensation,
            plan.reference, plan.adaptation, plan.paper, long_side_px, border_px,
        )  # fmt: skip

    def _seen(self) -> tuple | None:
        fine = self._owner.fine
        asked = self.hanging(max(self._tile_px()), fine(_BORDER_PX))
        return asked and (
            asked, self._columns_for(len(asked.papers)), fine(_GAP_PX), fine(1000) / 1000,
            self.captions(asked.papers), self._what(), self._note(asked),
        )  # fmt: skip

    def _forget(self) -> None:
        for column in self._columns:
            column.layout.display = "none"
        none = tr("None of the ticked papers has a profile.") if self._owner.papers else ""
        set_html(self.note, none, "wb-muted")

    def _show(self, found: tuple) -> None:
        seen, rows, fineness, said, what, note = found
        self._paint(seen.wall)
        for place, (view, caption) in enumerate(zip(self.rows, self.said, strict=True)):
            self._columns[place].layout.display = "" if place < len(rows) else "none"
            if place >= len(rows):
                continue
            part, picture = rows[place]
            view.show(
                picture,
                alt=tr(
                    "{what} on {papers}",
                    what=what,
                    papers=", ".join(name for name, _ in said[part]),
                ),
            )
            width = seen.sheets[0].shape[1] / fineness
            text = captions(said[part], width, _GAP_PX)
            if caption.value != text:
                caption.value = text
        set_html(self.note, note + dim_words(seen.eye), "wb-muted")

    def _what(self) -> str:
        name = self.plan.picture.name or tr("The picture")
        if self.zoom.value <= 1:
            return name
        return tr("A part of {name}, {times:.1f} times enlarged,", name=name, times=self.zoom.value)

    def captions(self, papers) -> tuple[tuple[str, str], ...]:
        """(name with number, the tint of its white and its finish) of each paper."""
        numbers, told = self._owner.numbers, []
        for paper in papers:
            known = paper.white_is_known
            white = (
                tr("{tint} white", tint=tint_words(paper.white_lab))
                if known
                else tr("white not stated")
            )
            name = f"{numbers[id(paper)]}. {paper.name}"
            told.append((name, ", ".join(filter(None, (white, word_of(paper.finish))))))
        return tuple(told)

    def _note(self, asked: Hanging) -> str:
        scale = self._tile_px()[0] / asked.window.width
        how = (
            tr("Preview")
            if self.zoom.value <= 1
            else tr("{scale:.0f} %", scale=100 * min(scale, 1))
        )
        return tr(
            "{how}: one eye sees all papers, and each picture lies on its own paper.", how=how
        )

    def _paint(self, wall) -> None:
        """The page's surround takes the wall's colour."""
        if self._styled != tuple(wall):
            self._styled = tuple(wall)
            rgb = ",".join(str(int(v)) for v in wall)
            self._css.value = (
                f"<style>.{self._class} .wb-surround{{background:rgb({rgb});"
                f"padding:{_PAD_PX}px}}</style>"
            )

    def for_export(self):
        """A function that gives the view with larger tiles (`Hung`), its captions and its note.

        None where there is nothing to show.
        """
        asked = self.hanging(EXPORT_PX)
        if asked is None:
            return None
        said, note = self.captions(asked.papers), self._note(asked)

        def large():
            seen, times = hung_large(asked)
            more = (
                tr(" On this sheet every pixel is {times} × {times} large.", times=times)
                if times > 1
                else ""
            )
            return seen, said, note + dim_words(seen.eye) + more

        return large


def hung_in(asked: tuple) -> tuple:
    """What is seen of a `Hanging`, laid out in rows of (part of the papers, picture)."""
    hanging, columns, gap_px, *words = asked
    seen = hung(hanging)
    parts_of = [slice(at, at + columns) for at in range(0, len(seen.sheets), columns)]
    rows = [(part, side_by_side(seen.sheets[part], gap_px, seen.wall)) for part in parts_of]
    return seen, rows, *words


def dim_words(eye) -> str:
    """How much darker all papers are shown, where they are."""
    if eye.dim <= 1.005:
        return ""
    return tr(
        " All are shown {dim:.0f} % darker, so that the lightest white still fits on the screen.",
        dim=100 * (1 - 1 / eye.dim),
    )
