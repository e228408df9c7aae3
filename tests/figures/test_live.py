"""Live figures: what is kept, what is redrawn, and that the look is ours alone."""

from __future__ import annotations

import io
import threading

import matplotlib
import matplotlib.style
import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

from workbench.figures import style
from workbench.figures.kept_words import KeptWords
from workbench.figures.live import LiveFigure, png_bytes


class Curves(LiveFigure):
    """Three curves and a caption that move over still axes."""

    def __init__(self, width_px=640, height_px=360):
        super().__init__(width_px, height_px)
        self.axes = style.add_axes(
            self.figure, xlabel="in", ylabel="out", title="Tones", xlim=(0, 1), ylim=(0, 1)
        )
        roles = ("picture", "paper", "outside")
        self.curves = [
            self.moving(style.line(self.axes, [], [], role, dashes=i, label=role, zorder=10 + i))
            for i, role in enumerate(roles)
        ]
        self.caption = self.moving(
            style.words(self.axes, 0.05, 0.9, size=20, transform=self.axes.transAxes, zorder=20)
        )
        style.legend(self.axes, self.curves)

    def update(self, gamma):
        x = np.linspace(0, 1, 101)
        for i, curve in enumerate(self.curves):
            curve.set_data(x, x ** (gamma + i / 4))
        self.caption.set_text(f"gamma {gamma:.2f}")


def at(gamma, **size):
    figure = Curves(**size)
    figure.update(gamma)
    return figure


def test_blitted_equals_freshly_drawn():
    live = at(1.0)
    live.render()
    for gamma in (1.5, 3.0, 0.7, 2.2):
        live.update(gamma)
        moved = live.pixels()
        assert np.array_equal(moved, at(gamma).pixels())
    assert live.still_draws == 1


def test_blitted_equals_one_pass_of_matplotlib():
    live = at(1.0)
    live.render()
    live.update(2.2)
    blitted = live.pixels()
    live.still(*live.curves, live.caption)  # nothing moves now: matplotlib draws all of it
    assert np.array_equal(blitted, live.pixels())
    # and what is drawn is not an empty plot
    assert (np.abs(blitted.astype(int) - np.array(to_rgb(style.BLUE)) * 255).max(-1) < 3).any()


@pytest.mark.parametrize("angle", [0, 90, 30])
def test_kept_words_are_those_of_matplotlib(angle):
    figure = style.new_figure(200, 160)
    words = figure.text(0.2, 0.2, "42,7 × 28.5 cm (gy)", size=14, rotation=angle, color="#5c5c5c")
    canvas, kept = figure.canvas, KeptWords()
    renderer = canvas.get_renderer()
    own, asked = renderer.draw_text, []

    def at_whole_pixels(gc, x, y, *more, **options):
        asked.append((x, y))
        own(gc, np.floor(x + 0.5), np.floor(y + 0.5), *more, **options)

    for place in (0.2, 0.23, 0.2345):  # another pixel, and another part of one
        words.set_position((place, place))
        renderer.draw_text = at_whole_pixels
        canvas.draw()
        drawn = np.asarray(canvas.buffer_rgba()).copy()
        renderer.draw_text = own
        for _ in range(2):  # noted, and then taken from what is kept
            with kept.on(renderer):
                canvas.draw()
            assert np.array_equal(canvas.buffer_rgba(), drawn)
    assert len({x % 1 for x, _ in asked}) > 1  # they did lie between pixels
    assert sum("cm" in said for said, _ in kept._kept) == 2  # the same words, and with noughts
    words.set_visible(False)
    canvas.draw()
    assert np.abs(np.asarray(canvas.buffer_rgba()).astype(int) - drawn).max() > 100


@pytest.mark.parametrize("scale", [1, 1.25, 2])
@pytest.mark.parametrize("size", [style.SIZE_NOTE, 11.5])
def test_words_with_other_digits_are_those_of_matplotlib(size, scale):
    figure = style.new_figure(300, 60, scale=scale)
    words = style.words(figure, 0.02, 0.4, size=size)
    canvas, kept = figure.canvas, KeptWords()
    own = canvas.get_renderer().draw_text

    def at_whole_pixels(gc, x, y, *more, **options):
        own(gc, np.floor(x + 0.5), np.floor(y + 0.5), *more, **options)

    rng, set_afresh = np.random.default_rng(5), 0
    for pattern in ("threshold {:.1f}", "{:.1f} % outside", "Tövtel: {:.0f} × {:.0f} px, −{:.2f}"):
        for number in range(40):
            words.set_text(pattern.format(*rng.uniform(1, 9.4, 3)))
            canvas.get_renderer().draw_text = at_whole_pixels
            canvas.draw()
            drawn = np.asarray(canvas.buffer_rgba()).copy()

            def counted(*given, **options):
                nonlocal set_afresh
                set_afresh += 1
                own(*given, **options)

            canvas.get_renderer().draw_text = counted
            set_afresh = 0
            with kept.on(canvas.get_renderer()):
                canvas.draw()
            assert np.array_equal(canvas.buffer_rgba(), drawn), words.get_text()
            glyphs = {said: found for (said, _), found in kept._kept.items()}[words.get_text()]
            # matplotlib before 3.11 makes one picture of all the letters
            known = number >= 4 and len(glyphs) == len(words.get_text())
            assert not (known and set_afresh), "known digits are set again"
    canvas.get_renderer().draw_text = own


def test_a_word_lies_where_it_lay_whatever_its_digits():
    figure = style.new_figure(300, 60)
    words = style.words(figure, 0.5, 0.5, ha="center", va="top")
    boxes = set()
    for said in ("7.1 %", "1.4 %", "0.0 %"):
        words.set_text(said)
        around, lines, *_ = words._get_layout(figure.canvas.get_renderer())
        assert [line for line, *_ in lines] == [said]
        boxes.add(tuple(around.extents))
    words.set_text("17.1 %\n2")
    around, lines, *_ = words._get_layout(figure.canvas.get_renderer())
    assert [line for line, *_ in lines] == ["17.1 %", "2"]
    assert len(boxes) == 1 and tuple(around.extents) not in boxes


def test_moving_artists_really_move():
    live = at(1.0)
    first = live.pixels()
    live.update(3.0)
    assert not np.array_equal(first, live.pixels())


@pytest.mark.parametrize(
    "change",
    [
        lambda axes: axes.set_xlim(0, 0.5),
        lambda axes: axes.set_yticks([0, 0.5, 1]),
        lambda axes: axes.set_title("Other words", loc="left"),
        lambda axes: axes.axhline(0.5, color="k", zorder=1),
    ],
    ids=["limits", "ticks", "title", "new artist"],
)
def test_a_change_to_still_parts_is_noticed(change):
    live = at(1.8)
    before = live.pixels()
    change(live.axes)
    after = live.pixels()
    fresh = at(1.8)
    change(fresh.axes)
    assert live.still_draws == 2
    assert not np.array_equal(before, after)
    assert np.array_equal(after, fresh.pixels())


def test_invalidate_for_what_matplotlib_cannot_see():
    live = at(1.8)
    image = live.axes.imshow(
        np.full((4, 4, 3), 200, np.uint8), extent=(0, 1, 0, 1), aspect="auto", zorder=0
    )
    before = live.pixels()
    image.get_array()[...] = 30  # in place, so nothing is marked stale
    assert np.array_equal(before, live.pixels())
    live.invalidate()
    assert not np.array_equal(before, live.pixels())


def test_artists_come_and_go():
    live = at(1.8)
    before = live.pixels()
    extra = live.moving(style.words(live.axes, 0.5, 0.5, "extra", zorder=30))
    assert not np.array_equal(before, live.pixels())
    extra.remove()
    assert np.array_equal(before, live.pixels())


def test_moving_returns_what_it_was_given():
    live = at(1.8)
    assert live.moving(live.caption) is live.caption
    assert live.moving(*live.curves) == tuple(live.curves)


def test_png_holds_the_pixels():
    live = at(1.8)
    decoded = np.asarray(Image.open(io.BytesIO(live.render())))  # Pillow's decoder, not ours
    assert decoded.shape == (360, 640, 3)
    assert np.array_equal(decoded, live.pixels())


@pytest.mark.parametrize("shape", [(7, 5, 3), (7, 5, 4), (7, 5)])
def test_png_bytes_takes_colour_alpha_and_grey(shape):
    array = np.random.default_rng(3).integers(0, 256, shape, np.uint8)
    assert np.array_equal(np.asarray(Image.open(io.BytesIO(png_bytes(array)))), array)
    assert np.array_equal(np.asarray(Image.open(io.BytesIO(png_bytes(array[::-1])))), array[::-1])


def test_threads_never_see_a_half_drawn_plot():
    gammas = (0.6, 1.4, 2.2, 3.0)
    allowed = {at(gamma).render() for gamma in gammas}
    live = at(gammas[0])
    seen = []

    def drive(gamma):
        for _ in range(25):
            live.update(gamma)
            seen.append(live.render())

    threads = [threading.Thread(target=drive, args=(gamma,)) for gamma in gammas]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(seen) == 100
    assert set(seen) <= allowed


def test_a_figure_must_say_how_to_show_a_result():
    with pytest.raises(NotImplementedError, match="LiveFigure does not say"):
        LiveFigure().update(None)


def test_scale_doubles_the_pixels_and_keeps_the_size():
    live = at(1.8)
    live.set_scale(2)
    assert live.size_px == (640, 360)
    assert live.pixels().shape == (720, 1280, 3)
    live.set_scale(1)
    assert np.array_equal(live.pixels(), at(1.8).pixels())
    with pytest.raises(ValueError, match="between 1 and 4"):
        live.set_scale(0.5)


def test_narrower_keeps_margins_and_type():
    live = at(1.8)
    live.pixels()
    assert live.set_size(420)
    assert not live.set_size(420)
    assert np.array_equal(live.pixels(), at(1.8, width_px=420).pixels())
    box = live.axes.get_position()
    assert box.x0 * 420 == pytest.approx(68)
    assert (1 - box.x1) * 420 == pytest.approx(20)


def test_dark_and_back():
    live = at(1.8)
    light = live.pixels()
    live.set_dark(True)
    dark = live.pixels()
    assert dark.mean() < 60
    assert light.mean() > 200
    live.axes.set_xlim(0, 0.9)  # ticks made in the dark are dark ones
    live.axes.set_xlim(0, 1)
    assert np.array_equal(dark, live.pixels())
    live.set_dark(False)
    assert np.array_equal(light, live.pixels())


def test_dark_leaves_colours_that_mean_something():
    live = at(1.8)
    patch = live.axes.axvspan(0.2, 0.4, facecolor="#f3f0e8", edgecolor="none")
    live.set_dark(True)
    assert patch.get_facecolor()[:3] == to_rgb("#f3f0e8")
    assert live.curves[0].get_color() == style.BLUE


def test_nobodys_settings_are_changed_or_obeyed():
    plain = at(1.8).pixels()
    with matplotlib.rc_context():
        matplotlib.style.use("dark_background")
        matplotlib.rcParams.update(
            {"font.size": 20, "font.family": "monospace", "lines.marker": "o"}
        )
        before = dict(matplotlib.rcParams)
        theirs = at(1.8).pixels()
        assert dict(matplotlib.rcParams) == before
    assert np.array_equal(plain, theirs)


# -- the style


def _luminance(colour):
    # WCAG 2.2, "relative luminance"
    rgb = np.array(to_rgb(colour))
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return float(linear @ (0.2126, 0.7152, 0.0722))


def _contrast(one, other):
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("dark", [False, True])
def test_words_can_be_read(dark):
    # WCAG 2.2: 4.5:1 for text (AA), 3:1 for parts of graphics (1.4.11)
    ground, *words = (style._DARK[c] if dark else c for c in (style.CARD, style.INK, style.QUIET))
    for word in words:
        assert _contrast(ground, word) >= 4.5
    for accent in (style.BLUE, style.GREEN, style.VERMILION):
        assert _contrast(ground, accent) >= 3


def test_accents_are_the_published_ones():
    # Okabe & Ito 2008, "Color Universal Design"; as printed in Wong, Nature Methods 8, 441 (2011)
    published = {
        "ORANGE": (230, 159, 0),
        "SKY": (86, 180, 233),
        "GREEN": (0, 158, 115),
        "YELLOW": (240, 228, 66),
        "BLUE": (0, 114, 178),
        "VERMILION": (213, 94, 0),
        "PURPLE": (204, 121, 167),
    }
    for name, rgb in published.items():
        assert np.allclose(np.array(to_rgb(getattr(style, name))) * 255, rgb, atol=0.5)


@pytest.mark.filterwarnings("ignore:.*tritanomaly is based on the shift paradigm")
@pytest.mark.parametrize("kind", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_the_first_three_of_a_series_stay_apart_for_colour_blind_readers(kind):
    import colour

    # full severity of the model of Machado et al. 2009, on linear sRGB
    matrix = colour.matrix_cvd_Machado2009(kind, 1.0)
    rgb = colour.cctf_decoding(np.array([to_rgb(c) for c in style.SERIES[:3]]), function="sRGB")
    seen = np.clip(rgb @ np.asarray(matrix).T, 0, 1)
    lab = colour.XYZ_to_Lab(colour.RGB_to_XYZ(seen, "sRGB"))
    for one, other in ((0, 1), (0, 2), (1, 2)):
        # 10 is five times the threshold at which a difference is plainly seen (common practice)
        assert colour.delta_E(lab[one], lab[other], method="CIE 2000") > 10


def test_greys_are_neutral():
    greys = (style.CARD, style.INK, style.QUIET, style.GRID, style.SURROUND, *style._DARK.values())
    for grey in greys:
        assert len(set(to_rgb(grey))) == 1


def test_smallest_type_is_nine_points():
    assert min(style.SIZE_TITLE, style.SIZE_LABEL, style.SIZE_TICK, style.SIZE_NOTE) >= 9


def test_unknown_role_is_told():
    with pytest.raises(KeyError, match="no colour role 'sparkle'"):
        style.colour("sparkle")


def test_margins_that_leave_no_room_are_told():
    with pytest.raises(ValueError, match="no room"):
        style.add_axes(style.new_figure(80, 80))


def test_axes_share_a_figure_by_spans():
    figure = style.new_figure(800, 400)
    left = style.add_axes(figure, span_x=(0, 0.5)).get_position()
    right = style.add_axes(figure, span_x=(0.5, 1)).get_position()
    assert left.x1 * 800 == pytest.approx(400 - 20)
    assert right.x0 * 800 == pytest.approx(400 + 68)


def test_file_names_are_not_formulas():
    text = style.words(style.new_figure(), 0.1, 0.5, "a$b$c_d.tif")
    assert not text.get_parse_math()


@pytest.mark.parametrize("ground", [None, {"boxstyle": "round,pad=0.25", "fc": "#fafafa"}])
def test_words_that_remember_their_layout_lie_where_matplotlib_puts_them(ground):
    """Drawn by matplotlib's own Text, which lays them out every time."""
    figure = style.new_figure(260, 200)
    kept = style.words(figure, 0.5, 0.5, "", bbox=ground)
    plain = figure.text(0.5, 0.5, "", size=style.SIZE_NOTE, fontfamily=style.FONT, bbox=ground)
    plain.set(color=style.INK, parse_math=False)
    changes = (
        {"text": "9 mm to spare"}, {"text": "two\nlines"}, {"rotation": 90}, {"ha": "right"},
        {"va": "top"}, {"size": 17}, {"weight": "bold"}, {"x": 0.3}, {"text": "9 mm to spare"},
    )  # fmt: skip
    seen = set()
    for change in changes:
        kept.set(**change)
        plain.set(**change)
        pictures = []
        for shown, other in ((kept, plain), (plain, kept)):
            shown.set_visible(True)
            other.set_visible(False)
            figure.canvas.draw()
            pictures.append(np.asarray(figure.canvas.buffer_rgba()).copy())
        assert np.array_equal(*pictures), change
        seen.add(pictures[0].tobytes())
    assert len(seen) == len(changes)
    figure.set_dpi(2 * figure.dpi)
    kept.set_visible(True)
    plain.set_visible(False)
    figure.canvas.draw()
    twice = np.asarray(figure.canvas.buffer_rgba()).copy()
    kept.set_visible(False)
    plain.set_visible(True)
    figure.canvas.draw()
    assert np.array_equal(figure.canvas.buffer_rgba(), twice)
