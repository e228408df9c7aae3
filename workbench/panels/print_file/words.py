"""The print file panel's sentences and tables; everything from outside is escaped."""

from __future__ import annotations

from workbench.analysis.crop import ppi_text
from workbench.analysis.sheets import area_text
from workbench.output.job_facts import job_black_warning
from workbench.panels.parts.facts import facts_table
from workbench.panels.parts.sentences import span

_TIGHT = 'style="margin:3px 0"'
# unit -> of them in an inch, decimals of a tenth of a millimetre or so
_RULER = {"mm": (25.4, 1), "cm": (2.54, 2), "in": (1.0, 2)}
_HANDS = {
    "workbench": (
        "The workbench converts the colours, here and once. Switch the conversion in the "
        "printer driver's dialog off: otherwise they are converted twice."
    ),
    "driver": (
        "The driver converts the colours; the file keeps the picture's own, with their profile "
        "in it. Nothing else may convert them: choose this paper's profile and the same intent in "
        "the driver's dialog. The proof here holds only if it converts so."
    ),
}


def hands_words(converts: str) -> str:
    """Who converts, and what that asks of the person."""
    return _HANDS[converts]


def answer_words(expected, job, unit: str) -> str:
    """What will be made, in one sentence; a second where its black is not the paper's darkest."""
    size = area_text(expected.width_mm, expected.height_mm, unit)
    whose = "in the picture's own colours, for the driver to convert"
    if job.converts == "workbench":
        whose = f"converted for {job.paper.name}"
    made = (
        f"A {expected.kind} file of {expected.width_px:,} × {expected.height_px:,} pixels at "
        f"{ppi_text(expected.ppi)} ppi, {size}, {expected.bit_depth} bits per channel, "
        f"{whose}."
    )
    warning = job_black_warning(job)
    return f"{made} {warning}" if warning else made


def expected_rows(expected, cost) -> list[tuple[str, str]]:
    """(name, words) of what the file takes and costs."""
    most = size_text(expected.size_bytes)
    if expected.size_is_exact:
        size = most
    elif expected.kind == "JPEG":
        size = f"at most {most}; usually a quarter of that or less"
    else:
        size = f"at most {most}, less as far as the picture can be packed"
    memory = f"about {size_text(expected.memory_bytes)}, besides the picture"
    rows = [("File", f"{expected.kind}, {size}"), ("Memory to write it", memory)]
    return [*rows, ("Cost", cost.sentence or cost.unknown[0]), *cost.extras]


def size_text(size_bytes: int) -> str:
    """Such as "345 MB" or "1.2 GB"."""
    if size_bytes >= 1e9:
        return f"{size_bytes / 1e9:.1f} GB"
    if size_bytes >= 1e6:
        return f"{size_bytes / 1e6:.0f} MB"
    return f"{max(1, round(size_bytes / 1e3))} kB"


def margins_rows(layout, unit: str) -> list[tuple[str, str]]:
    """Bare paper on each side of the picture's front, and the bleed."""
    x, y, width, height = layout.front_box_px
    b = layout.beyond_px
    sides = (
        ("above", y - b), ("below", layout.height_px - y - height - b),
        ("left", x - b), ("right", layout.width_px - x - width - b),
    )  # fmt: skip

    def told(pixels: int) -> str:
        # finer than sizes elsewhere: it is laid against a ruler
        per_inch, places = _RULER[unit]
        return f"{pixels / layout.ppi * per_inch:.{places}f} {unit}"

    rows = []
    if any(pixels > 0 for _, pixels in sides):
        rows.append(("Border", "; ".join(f"{name} {told(p)}" for name, p in sides)))
    if b:
        rows.append(("Bleed", f"{told(b)} beyond the front on every side"))
    return rows


def written_html(written, others=()) -> str:
    """What was written and what reading it back found.

    ``others`` are further (name, words) for the table of where things are.
    """
    checks = {check.sentence: check.passed for check in written.checks}
    said = "".join(f"<p {_TIGHT}>{span(s)}</p>" for s in written.sentences if s not in checks)
    marks = facts_table(("✓" if passed else "▲", sentence) for sentence, passed in checks.items())
    sums = facts_table(
        [
            ("Where", str(written.path)),
            ("Size", size_text(written.size_bytes)),
            ("Checksum (SHA-256)", written.checksum),
            *others,
        ]
    )
    return (
        f"<div>{said}<p {_TIGHT}>{span('Read back from the disk', 'wb-label')}</p>"
        f"{marks}"
        f'<div style="overflow-wrap:anywhere">{sums}</div></div>'
    )


def run_html(result) -> str:
    """What `workbench.run.run_plan` has written."""
    others = [
        ("Job sheet, to print", str(result.pdf_path)),
        ("Job sheet, for a browser", str(result.html_path)),
        ("Plan", str(result.plan_path)),
    ]
    return written_html(result.written, others)
