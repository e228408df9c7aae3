"""A panel's plots to take away: pictures with their captions, and their data."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from workbench.errors import OutputError
from workbench.figures.take import KINDS, TITLES, figure_bytes, table_of
from workbench.files import save_new
from workbench.language import tr
from workbench.output.csv_text import csv_text, spreadsheet_bytes
from workbench.panels.parts.layout import fold
from workbench.panels.parts.saving import Act, SaveTo


def plots_in(*items) -> Iterator:
    """The PlotViews below these widgets that are not put away, from top to bottom."""
    for item in items:
        widget = getattr(item, "widget", item)
        if widget.layout.display == "none":
            continue
        if hasattr(widget, "plot_view"):
            yield widget.plot_view
        else:
            yield from plots_in(*getattr(widget, "children", ()))


def take_figures(front, items, called: str, original):
    """A closed fold that saves the plots that are shown.

    Parameters
    ----------
    items : of the panel's body.
    called : what the files are called, with a number behind.
    original : as for `SaveTo`.
    """

    def begin(kind: str):
        def begin_in(folder):
            plots = [plot for plot in plots_in(*items) if plot.image.shown]
            if not plots:
                raise OutputError(tr("There is no figure yet."))

            if kind == "csv":
                plots = [plot for plot in plots if table_of(plot.figure)]
            if not plots:
                raise OutputError(tr("These figures are drawings; they have no table of numbers."))

            def work(cancelled, progress):
                dark, paths = front.dark_theme, []
                for number, plot in enumerate(plots, 1):
                    data = _data(plot, kind, dark)
                    stem = f"{called} {number}" if len(plots) > 1 else called
                    paths.append(save_new(folder, stem, f".{kind}", data))
                    progress(number / len(plots))
                return paths

            return work

        return begin_in

    acts = {
        kind: Act(
            tr("Save as {kind}", kind=kind.upper()),
            tr("Each figure with what it shows in words below"),
            begin(kind),
            said=_said,
        )
        for kind in KINDS
    }
    acts["csv"] = Act(
        tr("Save their data"),
        tr("Each figure's lines, dots and bars as a table"),
        begin("csv"),
        said=_said,
    )
    saving = SaveTo(front, acts, label=tr("Folder for figures"), original=original)
    return saving, fold(tr("Save these figures"), *saving.body, front=front)


def _data(plot, kind: str, dark: bool) -> bytes:
    if kind == "csv":
        return spreadsheet_bytes(csv_text(TITLES, table_of(plot.figure)))
    return figure_bytes(plot.figure, kind, plot.alt, dark=dark)


def _said(paths: list[Path]) -> str:
    if len(paths) == 1:
        return tr("Saved as {path}", path=paths[0])
    return tr("{count} files are saved in {folder}", count=len(paths), folder=paths[0].parent)
