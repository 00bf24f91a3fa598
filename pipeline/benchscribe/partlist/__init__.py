"""Read a plan's part list as people really have it: CSV, XLSX, XLS, ODS, a Markdown table or a table in a PDF."""

from __future__ import annotations

from benchscribe.partlist.reader import read_part_list

__all__ = ["read_part_list"]
