"""One view of the same part of the picture on up to six papers, moved and enlarged together."""

from __future__ import annotations

import ipywidgets as widgets

from workbench.analysis.crops import highlight_box, shadow_box
from workbench.analysis.words import tint_words
from workbench.figures.compare_view import (
    WALLS,
    Window,
    eye_for,
    in_a_row,
    most_zoom,
    printed_tiles,
    sheets,
    wall_rgb,
    window_at,
    window_pixels,
)
from workbench.panels import parts
from workbench.panels.parts.sentences import set_html
from workbench.panels.white.words import captions

_BORDER_PX, _GAP_PX, _PAD_PX = 9, 14, 14
_HIGHEST_PX, _WIDEST_PX, _NARROWEST_PX = 320, 420, 120
_TWO_FROM_PX, _THREE_FROM_PX = 360, 560
EXPORT_PX = 640


class LinkedView:
    """Controls and tiles; ``body`` holds the items to lay out.

    Parameters
    ----------
    owner : the panel, with ``plan``, ``front``, ``safely`` and ``look`` (called when a
        control moves).
    """

    def __init__(self, owner):
        self.plan, self.front, self._owner = owner.plan, owner.front, owner
        front = owner.front
        self._room_px = 700
        self._styled: tuple = ()
        self.zoom = parts.slider(
            front, "Enlarged", value=1.0, min=1.0, max=8.0, step=0.1, unit="times",
            help="1 shows the whole picture on every paper; at the right end one pixel of the "
            "picture takes one pixel of the screen",
        )  # fmt: skip
        self.across = parts.slider(
            front, "Across", value=50, min=0, max=100, step=0.1, unit="%",
            help="Where the middle of what is shown lies, from the left side of the picture",
        )  # fmt: skip
        self.down = parts.slider(
            front, "Down", value=50, min=0, max=100, step=0.1, unit="%",
            help="Where the middle of what is shown lies, from the top of the picture",
        )  # fmt: skip
        self.wall = parts.choice(
            front, "Papers lie on", options=list(WALLS),
            help="A neutral grey, or a neutral wall that is white or dark: what surrounds a "
            "print changes how light and how tinted it looks",
        )  # fmt: skip
        moved = owner.safely(lambda value: owner.look())
        for control in (self.zoom, self.across, self.down, self.wall):
            control.on_change(moved)
        self.whole, self.highlights, self.shadows = (
            parts.button(front, label, owner.safely(lambda box=box: self._jump(box)), help=said)
            for label, box, said in (
                ("Whole picture", None, "Show all of the picture on every paper"),
                ("Highlights", highlight_box, "Enlarge the part with most detail near white"),
                ("Shadows", shadow_box, "Enlarge the part with most detail near black"),
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
        if self.plan.picture is None:
            return
        self._fit_zoom()
        if find is None:
            self.zoom.value, self.across.value, self.down.value = 1.0, 50, 50
        else:
            picture = self.plan.picture
            x, y, width, height = find(picture, self._tile_px())
            self.zoom.value = self.zoom.high
            self.across.value = 100 * (x + width / 2) / picture.width_px
            self.down.value = 100 * (y + height / 2) / picture.height_px
        self._owner.look()

    def _fit_zoom(self) -> None:
        most = max(1.1, round(most_zoom(self.plan.picture, self._tile_px()), 1))
        if self.zoom.high != most:
            self.zoom.limits(1.0, most)
            self.zoom.value = min(self.zoom.value, most)

    def window(self) -> Window:
        """What of the picture is shown."""
        return window_at(
            self.plan.picture, self.zoom.value, self.across.value / 100, self.down.value / 100
        )

    @property
    def room(self) -> int:
        """CSS pixels that the page leaves for the tiles."""
        return self._room_px

    # how large -----------------------------------------------------------------

    def _fine(self, css_px: float) -> int:
        return max(1, round(css_px * min(max(self.front.pixel_ratio, 1.0), 3.0)))

    def _columns_for(self, papers: int) -> int:
        if self._room_px < _TWO_FROM_PX or papers == 1:
            return 1
        return 2 if self._room_px < _THREE_FROM_PX or papers in (2, 4) else 3

    def _tile_css(self) -> tuple[int, int]:
        picture = self.plan.picture
        columns = self._columns_for(self._shown)
        room = (self._room_px - 2 * _PAD_PX - (columns - 1) * _GAP_PX) / columns - 2 * _BORDER_PX
        shape = picture.width_px / picture.height_px
        width = int(min(max(room, _NARROWEST_PX), _WIDEST_PX, _HIGHEST_PX * shape))
        return max(width, 1), max(1, round(width / shape))

    def _tile_px(self) -> tuple[int, int]:
        """Width and height of a tile in screen pixels."""
        width, height = self._tile_css()
        return self._fine(width), self._fine(height)

    def _room_changed(self, content: dict) -> None:
        room = int(content.get("width", 0))
        if room > 0 and room != self._room_px:
            self._room_px = room
            self._owner.look()

    # showing -------------------------------------------------------------------

    def eye(self, papers):
        """The eye that looks at these papers, as the plan has it."""
        plan = self.plan
        return eye_for(
            papers, reference=plan.reference, adaptation=plan.adaptation, adapted_to=plan.paper
        )

    def show(self, papers, numbers, eye) -> None:
        """Bring the tiles up to date; ``papers`` have profiles."""
        self._shown = max(len(papers), 1)
        for column in self._columns[-(-len(papers) // self._columns_for(self._shown)) :]:
            column.layout.display = "none"
        if not papers:
            set_html(self.note, "None of the ticked papers has a profile.", "wb-muted")
            return
        self._fit_zoom()
        tile_px = self._tile_px()
        tiles = self._tiles(papers, eye, max(tile_px))
        wall = wall_rgb(self.wall.value, eye.dim)
        self._paint(wall)
        laid = sheets(tiles, eye.whites_rgb, self._fine(_BORDER_PX))
        said = self.captions(papers, numbers)
        columns = self._columns_for(len(papers))
        for row, (view, caption) in enumerate(zip(self.rows, self.said, strict=True)):
            part = slice(row * columns, (row + 1) * columns)
            if not laid[part]:
                continue
            names = ", ".join(name for name, _ in said[part])
            view.show(
                in_a_row(laid[part], self._fine(_GAP_PX), wall),
                alt=f"{self._what()} on {names}",
            )
            width = laid[0].shape[1] / self._fine(1000) * 1000
            text = captions(said[part], width, _GAP_PX)
            if caption.value != text:
                caption.value = text
            self._columns[row].layout.display = ""
        set_html(self.note, self.note_words(eye), "wb-muted")

    _shown = 3

    def _tiles(self, papers, eye, long_side_px: int) -> list:
        plan = self.plan
        pixels = window_pixels(plan.picture, self.window(), long_side_px)
        source = plan.picture.require_profile()
        return printed_tiles(pixels, source, papers, eye, **plan.rendering)

    def _what(self) -> str:
        name = self.plan.picture.name or "The picture"
        if self.zoom.value <= 1:
            return name
        return f"A part of {name}, {self.zoom.value:.1f} times enlarged,"

    def captions(self, papers, numbers) -> list[tuple[str, str]]:
        """(name with number, the tint of its white) of each paper."""
        return [
            (
                f"{numbers[id(paper)]}. {paper.name}",
                f"{tint_words(paper.white_lab)} white"
                if paper.white_is_known
                else "white not stated",
            )
            for paper in papers
        ]

    def note_words(self, eye) -> str:
        """What is to be known about the view."""
        window, tile = self.window(), self._tile_px()
        scale = tile[0] / window.width
        how = "preview" if self.zoom.value <= 1 else f"{100 * min(scale, 1):.0f} %"
        text = (
            f"{how[0].upper()}{how[1:]}: one eye sees all papers, and each picture lies on its own "
            "paper."
        )
        if eye.dim > 1.005:
            text += (
                f" All are shown {100 * (1 - 1 / eye.dim):.0f} % darker, so that the lightest "
                "white still fits on the screen."
            )
        return text

    def _paint(self, wall) -> None:
        """The page's surround takes the wall's colour."""
        if self._styled != tuple(wall):
            self._styled = tuple(wall)
            rgb = ",".join(str(int(v)) for v in wall)
            self._css.value = (
                f"<style>.{self._class} .wb-surround{{background:rgb({rgb});"
                f"padding:{_PAD_PX}px}}</style>"
            )

    def for_export(self, papers, eye) -> tuple[list, int]:
        """The same view with larger tiles, each on its own paper, and how often pixels repeat."""
        tiles = self._tiles(papers, eye, EXPORT_PX)
        # small parts are enlarged by whole numbers, so that every pixel stays as it is
        times = max(1, EXPORT_PX // (2 * max(tiles[0].shape[:2])) + 1)
        tiles = [tile.repeat(times, axis=0).repeat(times, axis=1) for tile in tiles]
        return sheets(tiles, eye.whites_rgb, round(max(tiles[0].shape[:2]) / 24)), times
