"""A survey as a table: CSV for spreadsheets, Parquet for what reads columns."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

from workbench.errors import OutputError
from workbench.files.writing import check_target, written_whole
from workbench.language import tr
from workbench.output.csv_text import csv_text, spreadsheet_bytes
from workbench.surveys.judging import COLUMNS, UNIT_WORDS

# rows held at once while a table is written
_GROUP = 5000


def write_csv(rows: Iterator[tuple], path, *, overwrite: bool = False) -> Path:
    """Write rows as CSV, titles first; whole or not at all."""
    target = check_target(path, overwrite=overwrite)
    titles = [
        f"{c.title} ({UNIT_WORDS.get(c.unit, c.unit)})" if c.unit else c.title for c in COLUMNS
    ]
    with written_whole(target, overwrite=overwrite) as unfinished:
        unfinished.stream.write(spreadsheet_bytes(csv_text(titles, [])))
        for group in _groups(rows):
            lines = csv_text(titles, group).split("\r\n", 1)[1]
            unfinished.stream.write(lines.encode())
    return target


def write_parquet(rows: Iterator[tuple], path, *, overwrite: bool = False) -> Path:
    """Write rows as Parquet; whole or not at all.  OutputError where pyarrow is missing."""
    try:
        import pyarrow as arrow
        from pyarrow import parquet
    except ImportError:
        raise OutputError(
            tr(
                "Parquet files are written by the package pyarrow, which is not installed: "
                "run “pip install pyarrow”, or write a CSV file."
            )
        ) from None
    kinds = {str: arrow.string(), int: arrow.int64(), float: arrow.float64()}
    schema = arrow.schema([(column.key, kinds[column.kind]) for column in COLUMNS])
    target = check_target(path, overwrite=overwrite)
    with written_whole(target, overwrite=overwrite) as unfinished:
        out = io.BufferedWriter(_Kept(unfinished.stream))
        with parquet.ParquetWriter(out, schema) as writer:
            for group in _groups(rows):
                columns = zip(*group, strict=True)
                arrays = [
                    arrow.array(values, kinds[column.kind])
                    for values, column in zip(columns, COLUMNS, strict=True)
                ]
                writer.write_table(arrow.Table.from_arrays(arrays, schema=schema))
        out.flush()
    return target


class _Kept(io.RawIOBase):
    """A stream whose closing is somebody else's."""

    def __init__(self, stream):
        self._stream = stream

    def writable(self) -> bool:
        return True

    def write(self, data) -> int:
        self._stream.write(data)
        return len(data)


def _groups(rows: Iterator[tuple]) -> Iterator[list[tuple]]:
    group: list[tuple] = []
    for row in rows:
        group.append(row)
        if len(group) == _GROUP:
            yield group
            group = []
    if group:
        yield group
