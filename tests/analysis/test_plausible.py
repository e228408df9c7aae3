"""Figures that no sheet has are told from those that some do."""

import re
from types import SimpleNamespace

import pytest
from helpers import coated_profile

from workbench.analysis.plausible import doubt_words, implausible
from workbench.colour.inkmodel import model_profile
from workbench.demo import demo_papers, demo_picture
from workbench.errors import PaperError
from workbench.figures.tone_crops import highlight_sheets
from workbench.panels.black.panel import BlackPanel
from workbench.paper import open_paper
from workbench.plan import Plan


def sheet(white=(95.0, 0.0, 0.0), *, density=2.0, known=True):
    contrast = 10**density * 0.88
    return SimpleNamespace(
        name="S", white_lab=white, white_is_known=known, black_density=density,
        contrast_ratio=contrast,
    )  # fmt: skip


def test_published_papers_are_believed():
    assert implausible(open_paper(coated_profile())) == ()
    # newsprint (WAN-IFRA, as in tests/test_readings.py), and unbleached kraft (common practice, no source)
    for white in ((85.0, 1.0, 5.0), (66.0, 7.0, 20.0)):
        assert implausible(sheet(white, density=1.1)) == ()


def test_the_invented_papers_are_believed():
    assert [paper.name for paper in demo_papers() if implausible(paper)] == []


@pytest.mark.parametrize(
    ("paper", "said"),
    [
        (sheet((42.0, 0.0, 0.0)), "L\\* 42"),
        (sheet((80.0, 20.0, 30.0)), "chroma of 36"),
        (sheet(density=5.0), "density of 5.0 .contrast 88,000 to 1"),
        (sheet((100.0, 0.0, 0.0), known=False), "perfect diffuser"),
    ],
)
def test_each_reason_is_named(paper, said):
    (why,) = implausible(paper)
    assert re.search(said, why)
    assert why in doubt_words(paper) and "nothing about a real sheet" in doubt_words(paper)


def test_what_was_not_read_is_not_doubted():
    class WhiteOnly:
        name, white_lab, white_is_known = "W", (95.0, 0.0, 1.0), True

        @property
        def black_density(self):
            raise PaperError("not read")

    assert implausible(WhiteOnly()) == () and doubt_words(WhiteOnly()) == ""


def test_every_panel_with_the_paper_says_so_at_its_head():
    rust = open_paper(model_profile((80.0, 20.0, 25.0), 1.6, name="Rust"))
    paper = demo_papers()[0]
    panel = BlackPanel(Plan(papers=(paper, rust), paper=paper))
    assert panel.doubt in panel.body.children[:2]
    panel.missing = lambda: ""
    panel.follow = lambda: None
    panel.plan.paper = rust
    assert panel.doubt.layout.display == "" and "chroma of 32" in panel.doubt.value
    panel.plan.paper = paper
    # the second paper is shown beside it
    assert panel.plan.second_paper() is rust and "Rust" in panel.doubt.value
    panel.plan.papers = (paper,)
    assert panel.doubt.layout.display == "none"
    panel.front.scheduler.close()


def test_a_crop_on_such_a_sheet_is_given_no_tint():
    rust = open_paper(model_profile((80.0, 20.0, 25.0), 1.6, name="Rust", grid=9))
    paper = demo_papers()[0]
    found = highlight_sheets(demo_picture(), paper, (rust,), Plan().rendering, (64, 64), 4)
    remarks = {sheet.name: sheet.remark for sheet in found.sheets}
    assert remarks["Rust"] == "tells nothing about a real sheet"
    assert remarks[paper.name].endswith("white")


def test_job_sheet_shelf_and_file_say_so_too():
    from workbench.output.job_facts import cautions_of
    from workbench.panels.shelf.words import profile_facts
    from workbench.panels.sources.words import paper_facts

    rust = open_paper(model_profile((80.0, 20.0, 25.0), 1.6, name="Rust", grid=9))
    plan = Plan(papers=(rust,), paper=rust, picture=demo_picture())
    entry = SimpleNamespace(profile_path=None, profile_sha256=None, profile_changed=False)
    doubt = doubt_words(rust)
    assert doubt in cautions_of(plan.solved(), None)
    for rows in (profile_facts(entry, rust), paper_facts(rust)):
        assert doubt in dict(rows).values()
