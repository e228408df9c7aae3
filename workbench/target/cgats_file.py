"""Writing a target's values as text that measuring programs read: CGATS.17, ISO 28178.

Plain ASCII; keywords that the standard does not list are announced by KEYWORD first.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from datetime import date

import numpy as np

from workbench.errors import TargetError
from workbench.files.text import clean_text
from workbench.language import tr

IDENTIFIER = "CGATS.17"
RGB_FIELDS = ("RGB_R", "RGB_G", "RGB_B")
LAB_FIELDS = ("LAB_L", "LAB_A", "LAB_B")
# other keywords have to be declared (CGATS.17, from memory)
_LISTED = {
    "ORIGINATOR", "DESCRIPTOR", "CREATED", "MANUFACTURER", "PROD_DATE", "SERIAL", "MATERIAL",
    "INSTRUMENTATION", "MEASUREMENT_SOURCE", "PRINT_CONDITIONS", "SAMPLE_BACKING",
    "WEIGHTING_FUNCTION", "COMPUTATIONAL_PARAMETER", "FILTER", "POLARIZATION",
}  # fmt: skip
_OURS = "Print-planning workbench"
_ID_LETTERS = 40
_ALIKE = str.maketrans("\u2212\u2013\u2014“”„’", "---''''") | {ord("ß"): "ss"}


def plain_text(text) -> str:
    """Text in the characters of the format: ASCII, accents dropped, no quotes or line ends."""
    folded = unicodedata.normalize("NFKD", clean_text(str(text)).translate(_ALIKE))
    kept = "".join(c for c in folded if not unicodedata.combining(c))
    return kept.encode("ascii", "replace").decode().replace('"', "'").strip()


def cgats_text(
    ids: Sequence[str],
    names: Sequence[str],
    *,
    rgb=None,
    lab=None,
    descriptor: str = "",
    keywords: Sequence[tuple[str, str]] = (),
    created: str | None = None,
) -> str:
    """A table of samples as CGATS.17 text.

    Parameters
    ----------
    ids, names : of the samples.
    rgb : (n, 3) values 0..1, written 0..255; or None.
    lab : (n, 3) absolute Lab for D50 and 2 degrees; or None.
    descriptor : what the file holds.
    keywords : further (name, value) pairs, in order.
    created : a date; None takes today's.

    Raises
    ------
    TargetError
        for lists of different lengths, no sample, two samples with one id, or a value
        that is not a finite number.
    """
    ids = [plain_text(i)[:_ID_LETTERS] for i in ids]
    if not ids or "" in ids or len(set(ids)) != len(ids):
        raise TargetError(tr("A table of samples needs at least one, each with a name of its own."))
    columns = [("SAMPLE_ID", map(_quoted, ids)), ("SAMPLE_NAME", map(_quoted, names))]
    if rgb is not None:
        columns += _numbers(RGB_FIELDS, np.asarray(rgb, float) * 255, len(ids))
    if lab is not None:
        columns += _numbers(LAB_FIELDS, lab, len(ids))
    if len(names) != len(ids):
        raise TargetError(
            tr(
                "There are {samples} samples and {names} names for them.",
                samples=len(ids),
                names=len(names),
            )
        )
    head = [
        ("ORIGINATOR", _OURS),
        ("DESCRIPTOR", descriptor or "Samples"),
        ("CREATED", created or date.today().isoformat()),
        *keywords,
    ]
    if lab is not None:
        head += [
            ("INSTRUMENTATION", "D50, 2 degree"),
            ("WEIGHTING_FUNCTION", "ILLUMINANT, D50"),
            ("WEIGHTING_FUNCTION", "OBSERVER, 2 degree"),
        ]
    lines, declared = [IDENTIFIER], set()
    for name, value in head:
        name = plain_text(name).upper().replace(" ", "_")
        if name not in _LISTED and name not in declared:
            lines.append(f'KEYWORD "{name}"')
            declared.add(name)
        lines.append(f'{name} "{plain_text(value)}"')
    rows = zip(*(values for _, values in columns), strict=True)
    lines += [
        f"NUMBER_OF_FIELDS {len(columns)}",
        "BEGIN_DATA_FORMAT",
        "\t".join(name for name, _ in columns),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS {len(ids)}",
        "BEGIN_DATA",
        *("\t".join(row) for row in rows),
        "END_DATA",
    ]
    return "\n".join(lines) + "\n"


def _quoted(text) -> str:
    return f'"{plain_text(text)}"'


def _numbers(fields, values, count: int):
    values = np.asarray(values, float)
    if values.shape != (count, len(fields)) or not np.isfinite(values).all():
        raise TargetError(
            tr(
                "Each of the {count} samples needs {numbers} numbers: {listed}.",
                count=count,
                numbers=len(fields),
                listed=", ".join(fields),
            )
        )
    # no "-0.0000"
    rounded = np.round(values, 4) + 0.0
    return [
        (field, (f"{value:.4f}" for value in rounded[:, column]))
        for column, field in enumerate(fields)
    ]


def reference_text(target, created: str | None = None) -> str:
    """The reference values of a target: what each patch should measure, absolute."""
    return cgats_text(
        target.ids,
        target.names,
        rgb=target.rgb,
        lab=target.reference_lab,
        descriptor=f"Reference values of the target for {target.paper_name}",
        keywords=[
            ("MATERIAL", target.paper_name),
            ("PRINT_CONDITIONS", f"Predicted by the paper's profile; {target.conversion}"),
        ],
        created=created,
    )
