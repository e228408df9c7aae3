"""Judging by eye: the form, the judging sheet, the wedge."""
