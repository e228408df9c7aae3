"""What every panel is built from: controls, pictures, plots, status, scheduler.

See the modules; each holds one idea.
"""

from workbench.panels.parts.answer_line import AnswerLine
from workbench.panels.parts.controls import button, choice, number, slider, text, tick
from workbench.panels.parts.counting import BEFORE, count_mark
from workbench.panels.parts.files import FileChooser
from workbench.panels.parts.guard import guarded
from workbench.panels.parts.help_front import Front
from workbench.panels.parts.layout import beside, column, fold, root, row, side, wide
from workbench.panels.parts.live_view import LiveView
from workbench.panels.parts.picture_view import PictureView
from workbench.panels.parts.plot_view import PlotView
from workbench.panels.parts.saving import Act, SaveTo
from workbench.panels.parts.scheduler import FILES, FINER, WHOLE, Scheduler
from workbench.panels.parts.sentences import Sentence, heading, html, set_html
from workbench.panels.parts.status import StatusLine
from workbench.panels.parts.tab_row import TabRow
from workbench.panels.parts.upload import UploadButton

__all__ = [
    "BEFORE",
    "Act",
    "AnswerLine",
    "FILES",
    "FINER",
    "FileChooser",
    "Front",
    "SaveTo",
    "Scheduler",
    "LiveView",
    "PictureView",
    "PlotView",
    "Sentence",
    "StatusLine",
    "TabRow",
    "UploadButton",
    "WHOLE",
    "beside",
    "button",
    "choice",
    "column",
    "count_mark",
    "fold",
    "guarded",
    "heading",
    "html",
    "number",
    "root",
    "row",
    "set_html",
    "side",
    "slider",
    "text",
    "tick",
    "wide",
]
