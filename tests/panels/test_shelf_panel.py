"""The shelf panel, driven without a browser, on shelves in temporary folders."""

import tomllib

import pytest
from library.makers import VERSION_LINE, entry, paper_profile, put_profile, put_shelf
from panel_helpers import pick, rows, settle

from workbench.analysis.what_if import NAME as WHAT_IF
from workbench.characteristics import CHARACTERISTICS
from workbench.demo import demo_papers
from workbench.errors import LibraryError
from workbench.library import FIELDS
from workbench.panels.shelf.panel import ShelfPanel
from workbench.panels.shelf.reading import FOLDER_VARIABLE, SHARED_VARIABLE, shelf_papers
from workbench.panels.shelf.words import ASKED, COLUMNS
from workbench.paper import open_paper
from workbench.plan import Plan

FEN = "# bought in May\n" + entry(
    "Invented Fen",
    'finish = "matte"\nweight_g_m2 = 247  # as printed on the packet\nsheets = ["A4", "A3"]\n'
    "price_per_sheet = { A4 = 0.9, A3 = 1.8 }\nmy_own = 3\n",
)
MOOR = entry("Invented Moor", 'finish = "gloss"\n', "moor.icc")


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "shelf"
    put_profile(folder)
    put_profile(folder, "moor.icc", 1)
    return put_shelf(folder, VERSION_LINE + FEN + "\n" + MOOR)


@pytest.fixture
def make(tmp_path, open_panel):
    def make(folder, plan=None):
        return open_panel(ShelfPanel, plan or Plan(), folder=folder, cache=tmp_path / "cache")

    return make


def text_of(folder) -> str:
    return (folder / "shelf.toml").read_text()


def type_in(panel, key, text):
    """As a person does who types and leaves the field."""
    control = panel.view.form.controls[key]
    if hasattr(control, "choice"):
        control.choice.field.value = control.choice.field.options[-1][1]
        control = control.typed
    control.field.value = text


# -- what it shows


def test_an_empty_folder_offers_the_invented_papers_and_stays_empty(make, tmp_path):
    plan = Plan(papers=demo_papers(), paper=demo_papers()[2])
    panel = make(tmp_path / "none yet", plan)
    assert panel.view.count.text.startswith(f"{len(demo_papers())} papers, invented")
    # the same objects, so that what was chosen stays chosen
    assert all(one is other for one, other in zip(plan.papers, demo_papers(), strict=True))
    assert plan.paper is demo_papers()[2] and panel.view.table.list.index == 2
    pick(panel, 4)
    assert plan.paper is demo_papers()[4]
    assert not (tmp_path / "none yet").exists()


def test_the_list_has_every_characteristic_and_the_facts_of_the_profile(make, folder):
    panel = make(folder)
    fen, moor = rows(panel)
    paper = open_paper(paper_profile())
    for said in ("Invented Fen", "matte", "247", f"{paper.black_density:.2f}", "slightly warm"):
        assert said in fen
    # photo black follows from gloss
    assert "gloss" in moor and "photo" in moor
    heads = panel.view.table.head.value
    assert all(column.head in heads for column in COLUMNS)
    assert panel.front.attributes(panel.view.table.list)["aria-label"].startswith("Papers on the")


def test_problems_are_told_by_line_and_hide_no_paper(make, folder):
    text = text_of(folder) + '\n[[paper]]\nname = "Broken\n\n[[paper]]\nname = "Lost"\n'
    put_shelf(folder, text + 'profile = "lost.icc"\nweight_g_m2 = 3\n')
    panel = make(folder, plan := Plan())
    number = text.split("\n").index('name = "Broken') + 1
    shown = panel.view.problems.value
    assert f"Line {number}: " in shown
    assert "cannot be 3; it lies between 20 and 2000" in shown
    assert "lost.icc” in" in shown
    assert [paper.name for paper in plan.papers] == ["Invented Fen", "Invented Moor"]
    assert "profile not found" in rows(panel)[2]
    # it can be looked at, and the paper printed on stays
    pick(panel, 0)
    pick(panel, 2)
    assert panel.view.form.controls["name"].value == "Lost"
    assert plan.paper.name == "Invented Fen"
    plan.paper = plan.papers[1]
    assert panel.view.form.controls["name"].value == "Invented Moor"


def test_choosing_puts_the_paper_into_the_plan_and_fills_the_fields(make, folder):
    panel = make(folder, plan := Plan())
    assert panel.view.edited.layout.display == "none"
    pick(panel, 0)
    assert plan.paper.name == "Invented Fen" and plan.paper is plan.papers[0]
    values = {key: control.value for key, control in panel.view.form.controls.items()}
    assert values["weight_g_m2"] == "247" and values["finish"] == "matte"
    assert values["sheets"] == "A4, A3" and values["price_per_sheet"] == "A4 0.9; A3 1.8"
    assert str(folder / "paper.icc") in panel.view.facts.value
    assert panel.view.undo.disabled


def test_every_field_of_an_entry_is_asked_for_and_explained(make, folder):
    panel = make(folder)
    assert set(ASKED) == set(FIELDS) - {"profile", "profile_sha256", "invented"}
    for key in ASKED:
        assert len(CHARACTERISTICS[key].hint) > 8
        control = panel.view.form.controls[key]
        field = (control.choice if hasattr(control, "choice") else control).field
        marks = panel.front.attributes(field)
        assert marks["title"] == CHARACTERISTICS[key].hint
        assert marks["aria-label"].startswith(CHARACTERISTICS[key].label)


# -- changing


def test_a_changed_field_is_saved_with_every_comment_kept(make, folder):
    panel = make(folder, plan := Plan())
    pick(panel, 0)
    plan.reference = plan.other_paper = plan.paper
    type_in(panel, "weight_g_m2", "315 g/m²")
    type_in(panel, "price_per_sheet", "A4 1,20; A3+ 2.5")
    type_in(panel, "rolls", "24 in")
    type_in(panel, "surface_texture", "like silk")
    assert "Not saved yet: Weight, Surface texture, Rolls held, Price per sheet." in (
        panel.view.unsaved.value
    )
    assert "315" not in text_of(folder)
    panel.view.save.click()
    text = text_of(folder)
    assert "# bought in May" in text and "weight_g_m2 = 315  # as printed on the packet" in text
    first = tomllib.loads(text)["paper"][0]
    assert first["price_per_sheet"] == {"A4": 1.2, "A3+": 2.5} and first["rolls"] == ["24 in"]
    assert first["surface_texture"] == "like silk" and first["my_own"] == 3
    assert plan.paper.weight_g_m2 == 315 and plan.paper.sheet_price("A3+") == 2.5
    assert plan.paper is plan.papers[0] and len(plan.papers) == 2
    # it takes its former self's place everywhere
    assert plan.reference is plan.paper and plan.other_paper is plan.paper
    assert "saved" in panel.view.said.text and panel.view.undo.disabled


def test_what_cannot_be_taken_is_said_and_changes_nothing(make, folder):
    panel = make(folder)
    pick(panel, 0)
    before = text_of(folder)
    for key, text, said in (
        ("weight_g_m2", "heavy", "Weight: “heavy” is not a number"),
        ("weight_g_m2", "3", "lies between 20 and 2000"),
        ("price_per_sheet", "A4", "has no price"),
        ("name", " ", "needs a name"),
        ("name", "Invented Moor", "choose another name"),
    ):
        type_in(panel, key, text)
        panel.view.save.click()
        assert (panel.view.said.kind, said in panel.view.said.text) == ("problem", True)
        assert text_of(folder) == before
        panel.view.undo.click()
    type_in(panel, "weight_g_m2", "heavy")
    panel.view.save.click()
    field = panel.view.form.controls["weight_g_m2"].field
    assert panel.front.attributes(field)["aria-invalid"] == "true"
    type_in(panel, "weight_g_m2", "300")
    assert panel.front.attributes(field)["aria-invalid"] is None


def test_what_was_typed_waits_while_other_papers_are_looked_at(make, folder):
    panel = make(folder)
    pick(panel, 0)
    type_in(panel, "notes", "two lines\nof mine")
    pick(panel, 1)
    assert panel.view.form.controls["notes"].value == ""
    assert rows(panel)[0].startswith("✎ Invented Fen")
    pick(panel, 0)
    assert panel.view.form.controls["notes"].value == "two lines\nof mine"
    panel.view.save.click()
    assert tomllib.loads(text_of(folder))["paper"][0]["notes"] == "two lines\nof mine"
    assert rows(panel)[0].startswith("Invented Fen")


def test_a_new_name_keeps_the_paper_chosen(make, folder):
    panel = make(folder, plan := Plan())
    pick(panel, 1)
    type_in(panel, "name", "Invented Heath")
    panel.view.save.click()
    assert [paper.name for paper in plan.papers] == ["Invented Fen", "Invented Heath"]
    assert plan.paper is plan.papers[1] and panel.view.table.list.index == 1


def test_characteristics_given_elsewhere_are_offered_for_saving(make, folder):
    panel = make(folder, plan := Plan())
    pick(panel, 0)
    own = plan.paper
    changed = own.with_details(base="cotton")
    plan.swap(own, changed)
    assert panel.view.table.list.index == 0
    assert "Not saved yet: Base." in panel.view.unsaved.value
    panel.view.undo.click()
    assert plan.paper is own and "Not saved" not in panel.view.unsaved.value
    plan.swap(own, changed)
    panel.view.save.click()
    assert tomllib.loads(text_of(folder))["paper"][0]["base"] == "cotton"
    assert len(plan.papers) == 2 and plan.paper is plan.papers[0]


def test_taking_off_asks_once_and_keeps_the_text(make, folder):
    panel = make(folder, plan := Plan())
    view = panel.view
    pick(panel, 0)
    view.off.click()
    assert view.sure.layout.display == "" and view.save.layout.display == "none"
    view.keep.click()
    assert view.sure.layout.display == "none" and len(tomllib.loads(text_of(folder))["paper"]) == 2
    view.off.click()
    view.sure.click()
    assert [each["name"] for each in tomllib.loads(text_of(folder))["paper"]] == ["Invented Moor"]
    assert "weight_g_m2 = 247  # as printed" in (folder / "shelf-removed.toml").read_text()
    # its neighbour is printed on
    assert [paper.name for paper in plan.papers] == ["Invented Moor"]
    assert plan.paper is plan.papers[0] and view.table.list.index == 0
    view.off.click()
    view.sure.click()
    # a plan needs a paper: the last one stays at hand, and may be put back
    assert plan.paper.name == "Invented Moor" and view.offer.layout.display == ""


# -- adding


def test_a_paper_opened_by_hand_is_put_on_the_shelf(make, folder):
    paper = open_paper(paper_profile(7), "Opened", finish="satin", weight_g_m2=250)
    plan = Plan(papers=(paper,), paper=paper)
    panel = make(folder, plan)
    assert [each.name for each in plan.papers] == ["Invented Fen", "Invented Moor", "Opened"]
    assert plan.paper is paper and panel.view.table.list.index is None
    assert "“Opened” is chosen, and not on the shelf" in panel.view.offered.value
    assert panel.view.newcomer.value == "Opened"
    panel.put_chosen("Opened on the small printer")
    added = tomllib.loads(text_of(folder))["paper"][2]
    assert added["name"] == "Opened on the small printer" and added["weight_g_m2"] == 250
    assert (folder / added["profile"]).read_bytes() == paper.profile
    assert [each.name for each in plan.papers][2:] == ["Opened on the small printer"]
    assert plan.paper is plan.papers[2] and panel.view.offer.layout.display == "none"


def test_a_paper_with_the_same_name_asks_for_another(make, folder):
    paper = open_paper(paper_profile(8), "Invented Fen")
    panel = make(folder, Plan(papers=(paper,), paper=paper))
    before = text_of(folder)
    panel.view.put_button.click()
    assert "choose another name" in panel.view.said.text and text_of(folder) == before


def test_the_what_if_paper_needs_a_name_of_its_own(make, folder):
    paper = open_paper(paper_profile(9), WHAT_IF, invented=True)
    panel = make(folder, plan := Plan(papers=(paper,), paper=paper))
    assert panel.view.newcomer.value == ""
    panel.view.put_button.click()
    assert "name of its own" in panel.view.said.text
    panel.put_chosen("Model of a warm rag")
    assert plan.paper.name == "Model of a warm rag" and plan.paper.invented


def test_files_are_added_and_chosen(make, folder, tmp_path):
    panel = make(folder, plan := Plan())
    path = put_profile(tmp_path / "downloads", "new.icc", 3)
    panel.view.adder.open(str(path))
    panel.view.adder.status.clear()
    assert plan.paper.name == "Invented test paper" and plan.paper.profile == path.read_bytes()
    assert panel.view.form.controls["name"].value == "Invented test paper"
    assert (folder / "profiles" / "new.icc").read_bytes() == path.read_bytes()
    # one that was sent by the browser, of the same name
    with pytest.raises(LibraryError, match="choose another name"):
        panel.add_file(("sent.icc", paper_profile(4)))
    with pytest.raises(ValueError, match="not an ICC"):
        panel.add_file(("sent.icc", b"nothing"))


def test_a_changed_profile_is_told_and_may_be_accepted(make, folder):
    panel = make(folder, plan := Plan())
    pick(panel, 0)
    panel.change_profile(("better.icc", paper_profile(5)))
    assert plan.paper.profile == paper_profile(5) and plan.paper is plan.papers[0]
    named = tomllib.loads(text_of(folder))["paper"][0]["profile"]
    (folder / named).write_bytes(paper_profile(6))
    panel.read()
    settle(panel)
    assert "has changed since" in panel.view.problems.value
    assert panel.view.accept.layout.display == ""
    panel.view.accept.click()
    assert panel.view.problems.value == "" and panel.view.accept.layout.display == "none"
    assert plan.paper.profile == paper_profile(6)


# -- other hands, other folders


def test_hand_edits_are_read_again(make, folder):
    panel = make(folder, plan := Plan())
    pick(panel, 0)
    put_shelf(folder, text_of(folder).replace("247", "305"))
    panel.view.again.click()
    settle(panel)
    assert plan.paper.weight_g_m2 == 305 and plan.paper is plan.papers[0]
    assert panel.view.form.controls["weight_g_m2"].value == "305"
    # one that was taken out by hand is not at hand any more
    put_shelf(folder, VERSION_LINE + MOOR)
    panel.view.again.click()
    settle(panel)
    assert [paper.name for paper in plan.papers] == ["Invented Moor"]
    assert plan.paper is plan.papers[0]


def test_a_change_in_another_window_is_not_written_over(make, folder):
    panel = make(folder)
    pick(panel, 0)
    put_shelf(folder, text_of(folder).replace("247", "305"))
    type_in(panel, "weight_g_m2", "400")
    panel.view.save.click()
    assert "another window" in panel.view.said.text and "305" in text_of(folder)


def test_another_folder_and_papers_opened_by_hand(make, folder, tmp_path):
    by_hand = open_paper(paper_profile(11), "By hand")
    panel = make(folder, plan := Plan(papers=(by_hand,), paper=by_hand))
    other = put_shelf(tmp_path / "other", VERSION_LINE + entry("Invented Mere"))
    put_profile(other, number=12)
    panel.use_folder(str(other))
    settle(panel)
    assert [paper.name for paper in plan.papers] == ["Invented Mere", "By hand"]
    assert plan.paper is by_hand and str(other) in panel.view.place.value
    # a folder that is none leaves the shelf as it is
    panel.use_folder(str(other / "paper.icc"))
    settle(panel)
    assert "not a folder" in panel.view.folder_said.text
    assert panel.folder == other and len(plan.papers) == 2


def test_the_environment_names_the_folder(make, folder, monkeypatch, tmp_path):
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder))
    panel = make(None, plan := Plan())
    assert panel.folder == folder and plan.papers[0].name == "Invented Fen"
    assert [p.name for p in shelf_papers()] == ["Invented Fen", "Invented Moor"]
    # what cannot be opened gives the invented papers, and the panel says why
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder / "paper.icc"))
    assert shelf_papers() == demo_papers()
    broken = make(None)
    assert "not a folder" in broken.status.text and "could not be read" in broken.view.count.text


def test_a_shelf_of_a_newer_workbench_can_only_be_looked_at(make, folder):
    put_shelf(folder, text_of(folder).replace("version = 1", "version = 2"))
    panel = make(folder)
    assert "newer workbench" in panel.view.problems.value
    assert panel.view.save.disabled and panel.view.off.disabled and panel.view.put_button.disabled


def test_a_hidden_panel_reads_nothing_until_it_is_shown(folder, tmp_path):
    from workbench.panels import parts

    plan = Plan()
    panel = ShelfPanel(plan, parts.Front(), folder, cache=tmp_path / "cache")
    settle(panel)
    assert panel.held is None
    panel.show(True)
    settle(panel)
    assert len(plan.papers) == 2 and len(rows(panel)) == 2
    panel.front.scheduler.close()


def test_a_narrow_list_keeps_name_finish_and_figures(make, folder):
    panel = make(folder)
    pick(panel, 1)
    panel.view.table.fit(536)
    assert panel.view.table.list.index == 1
    first = rows(panel)[0]
    assert "Invented Fen" in first and "matte" in first and "slightly warm" in first
    assert len(first) <= (536 - 20) / 7.8 and "surface" not in panel.view.table.head.value


# -- a shared shelf


def test_a_shared_shelf_is_shown_after_the_own_one_and_never_written_to(
    make, folder, tmp_path, monkeypatch
):
    shared = tmp_path / "of the class"
    put_profile(shared, "heath.icc", 2)
    put_profile(shared, "moor.icc", 1)
    heath = entry("Invented Heath", 'finish = "satin"\n', "heath.icc")
    put_shelf(shared, VERSION_LINE + heath + "\n" + MOOR)
    before = {path: path.read_bytes() for path in shared.rglob("*") if path.is_file()}
    monkeypatch.setenv(SHARED_VARIABLE, str(shared))
    assert [each.name for each in shelf_papers(folder)][-1] == "Invented Heath"
    plan = Plan()
    panel = make(folder, plan)
    # the own one of the same name hides that of the class
    names = [row.split("  ")[0] for row in rows(panel)]
    assert [name.split()[-1] for name in names] == ["Fen", "Moor", "Heath"]
    assert [name.startswith("shared: ") for name in names] == [False, False, True]
    assert str(shared) in panel.view.place.value
    pick(panel, 2)
    settle(panel)
    assert plan.paper.name == "Invented Heath" and "shared shelf" in panel.view.title.value
    for change in (panel.take_off, lambda: panel.change_profile(paper_profile(1))):
        with pytest.raises(LibraryError, match="only read here"):
            change()
    type_in(panel, "name", "Invented Heather")
    panel.view.save.click()
    settle(panel)
    assert "only read here" in panel.view.said.text
    panel.view.form.undo()
    # an addition of one's own stands on the own shelf alone
    panel.put_chosen("Invented Heath")
    settle(panel)
    assert "Invented Heath" in text_of(folder)
    assert len(rows(panel)) == 3
    panel._edit(panel._entry(), "", finish="matte")
    settle(panel)
    assert plan.paper.finish == "matte"
    assert {path: path.read_bytes() for path in shared.rglob("*") if path.is_file()} == before


def test_where_the_shared_shelf_is_gone_the_own_one_serves(make, folder, tmp_path, monkeypatch):
    monkeypatch.setenv(SHARED_VARIABLE, str(tmp_path / "nowhere"))
    panel = make(folder)
    assert len(rows(panel)) == 2 and "shared shelf" in panel.view.problems.value
    empty = make(tmp_path / "empty")
    assert rows(empty) == [] and len(shelf_papers(tmp_path / "empty")) > 3
