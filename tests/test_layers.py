"""The rooms depend on one another in one direction, and the import stays quick."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_dependencies_point_down():
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_import_is_quick_and_light():
    code = (
        "import time; start = time.perf_counter(); import workbench; "
        "print(time.perf_counter() - start); import sys; "
        "print([m for m in ('numpy', 'colour', 'matplotlib', 'ipywidgets') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    seconds, loaded = done.stdout.splitlines()
    assert loaded == "[]"
    # nothing heavy is loaded, so half a second leaves room for a slow machine
    assert float(seconds) < 0.5


def test_public_names_exist():
    import workbench as wb

    for name in wb.__all__:
        assert getattr(wb, name) is not None
    for name in (
        "open_picture open_paper demo_papers demo_picture print_size gamut_report paper_white "
        "black_point soft_proof screen_match compare write_print_file"
    ).split():
        assert callable(getattr(wb, name))
