"""The print file panel's sentences and tables; everything from outside is escaped."""

from __future__ import annotations

from workbench.analysis.crop import ppi_text
from workbench.analysis.sheets import area_text
from workbench.language import tr
from workbench.output.job_facts import job_black_warning
from workbench.panels.parts.facts import facts_table
from workbench.panels.parts.sentences import span

_TIGHT = 'style="margin:3px 0"'
# unit -> of them in an inch, decimals of a tenth of a millimetre or so
_RULER = {"mm": (25.4, 1), "cm": (2.54, 2), "in": (1.0, 2)}
_HANDS = {
    "workbench": (
        tr(
            "The workbench converts the colours, here and once. Switch the conversion in the "
            "printer driver's dialog off: otherwise they are converted twice."
        )
    ),
    "driver": (
        tr(
            "The driver converts the colours; the file keeps the picture's own, with their profile "
            "in it. Nothing else may convert them: choose this paper's profile and the same intent in "
            "the driver's dialog. The proof here holds only if it converts so."
        )
    ),
}


def hands_words(converts: str) -> str:
    """Who converts, and what that asks of the person."""
    return _HANDS[converts]


def answer_words(expected, job, unit: str) -> str:
    """What will be made, in one sentence; a second where its black is not the paper's darkest."""
    size = area_text(expected.width_mm, expected.height_mm, unit)
    whose = tr("in the picture's own colours, for the driver to convert")
    if job.converts == "workbench":
        whose = tr("converted for {name}", name=job.paper.name)
    made = tr(
        "A {kind} file of {width_px:,} × {height_px:,} pixels at {ppi} ppi, "
        "{size}, {bit_depth} bits per channel, {whose}.",
        kind=expected.kind,
        width_px=expected.width_px,
        height_px=expected.height_px,
        ppi=ppi_text(expected.ppi),
        size=size,
        bit_depth=expected.bit_depth,
        whose=whose,
    )
    warning = job_black_warning(job)
    return f"{made} {warning}" if warning else made


def expected_rows(expected, cost) -> list[tuple[str, str]]:
    """(name, words) of what the file takes and costs."""
    most = size_text(expected.size_bytes)
    if expected.size_is_exact:
        size = most
    elif expected.kind == "JPEG":
        size = tr("at most {most}; usually a quarter of that or less", most=most)
    else:
        size = tr("at most {most}, less as far as the picture can be packed", most=most)
    memory = tr("about {size}, besides the picture", size=size_text(expected.memory_bytes))
    rows = [(tr("File"), f"{expected.kind}, {size}"), (tr("Memory to write it"), memory)]
    return [*rows, (tr("Cost"), cost.sentence or cost.unknown[0]), *cost.extras]


def size_text(size_bytes: int) -> str:
    """Such as "345 MB" or "1.2 GB"."""
    if size_bytes >= 1e9:
        return tr("{size:.1f} GB", size=size_bytes / 1e9)
    if size_bytes >= 1e6:
        return tr("{size:.0f} MB", size=size_bytes / 1e6)
    return tr("{size} kB", size=max(1, round(size_bytes / 1e3)))


def margins_rows(layout, unit: str) -> list[tuple[str, str]]:
    """Bare paper on each side of the picture's front, and the bleed."""
    x, y, width, height = layout.front_box_px
    b = layout.beyond_px
    above, below = y - b, layout.height_px - y - height - b
    left, right = x - b, layout.width_px - x - width - b

    def told(pixels: int) -> str:
        # finer than sizes elsewhere: it is laid against a ruler
        per_inch, places = _RULER[unit]
        length = pixels / layout.ppi * per_inch
        return tr("{length:.{places}f} {unit}", length=length, unit=unit, places=places)

    rows = []
    if max(above, below, left, right) > 0:
        sides = tr(
            "above {above}; below {below}; left {left}; right {right}",
            above=told(above),
            below=told(below),
            left=told(left),
            right=told(right),
        )
        rows.append((tr("Border"), sides))
    if b:
        rows.append((tr("Bleed"), tr("{bleed} beyond the front on every side", bleed=told(b))))
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
            (tr("Where"), str(written.path)),
            (tr("Size"), size_text(written.size_bytes)),
            (tr("Checksum (SHA-256)"), written.checksum),
            *others,
        ]
    )
    read_back = span(tr("Read back from the disk"), "wb-label")
    return (
        f"<div>{said}<p {_TIGHT}>{read_back}</p>"
        f"{marks}"
        f'<div style="overflow-wrap:anywhere">{sums}</div></div>'
    )


def run_html(result) -> str:
    """What `workbench.run.run_plan` has written."""
    others = [
        (tr("Job sheet, to print"), str(result.pdf_path)),
        (tr("Job sheet, for a browser"), str(result.html_path)),
        (tr("Plan"), str(result.plan_path)),
    ]
    return written_html(result.written, others)
