"""The screen's own profile, asked of invented systems."""

from displays import stuck, table_display

from workbench.analysis.own_display import System, display_words, own_displays

SCREEN = table_display(9)


def listing(*files):
    """As colord's own program prints its displays (from memory)."""
    devices = (
        f"Object Path:   /devices/screen_{n}\nType:          display\nModel:         Invented\n"
        f"Profile 1:     icc-{n}\n               {file}\n"
        f"Profile 2:     icc-other\n               /nowhere/other.icc\n"
        for n, file in enumerate(files)
    )
    return "\n".join(devices)


def linux(listed="", on_x=""):
    return System("linux", answer_of=lambda c: listed if c[0] == "colormgr" else on_x)


def x_property(data):
    return f"_ICC_PROFILE(CARDINAL) = {', '.join(map(str, data))}\n"


def test_colord_s_first_profile_of_each_display(tmp_path):
    mine, other = tmp_path / "my screen.icc", tmp_path / "left.icc"
    mine.write_bytes(SCREEN)
    other.write_bytes(table_display(5, "Invented left screen"))
    found = own_displays(linux(listing(mine, other, tmp_path / "missing.icc")))
    assert [each.source for each in found] == [str(mine), str(other)]
    assert [each.name for each in found] == ["Invented screen, measured", "Invented left screen"]
    assert {each.how for each in found} == {"colord"}
    # the same profile by both ways counts once
    both = own_displays(linux(listing(mine), x_property(SCREEN)))
    assert [each.how for each in both] == ["colord"]


def test_what_the_root_window_of_x_holds():
    (found,) = own_displays(linux(on_x=x_property(SCREEN)))
    assert found.source == SCREEN and found.how == "the X server"
    for said in ("_ICC_PROFILE:  not found.\n", "= 300, 7\n", "=", x_property(stuck()), "= 0, 0"):
        assert own_displays(linux(on_x=said)) == ()


def test_windows_and_mac(tmp_path):
    path = tmp_path / "Library/ColorSync/Profiles/Displays/Invented screen-1.icc"
    path.parent.mkdir(parents=True)
    path.write_bytes(SCREEN)
    (path.parent / "text.icc").write_bytes(b"nothing")
    for system in (System("win32", windows_path=lambda: str(path)), System("darwin", tmp_path)):
        (found,) = own_displays(system)
        assert found.display.profile == SCREEN
    assert own_displays(System("win32", windows_path=lambda: "")) == ()
    assert own_displays(System("win32", windows_path=lambda: str(tmp_path / "none.icm"))) == ()


def test_this_computer_is_asked_without_a_fault(monkeypatch):
    assert isinstance(own_displays(), tuple)
    monkeypatch.setenv("PATH", "")
    assert own_displays(System("linux")) == ()


def test_srgb_is_taken_for_granted_aloud():
    found = own_displays(linux(on_x=x_property(SCREEN)))
    assert "taken for sRGB" in display_words("sRGB", ())
    assert "Invented screen, measured" in display_words("sRGB", found)
    assert "the X server names" in display_words(SCREEN, found)
    assert display_words("Display P3", found) == ""
