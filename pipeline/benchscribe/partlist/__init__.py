"""Read a plan's part list as people really have it: CSV, XLSX, XLS, ODS, a Markdown table or a table in a PDF."""

from __future__ import annotations

from benchscribe.partlist.advice import Advice, advise
from benchscribe.partlist.reader import read_part_list
from benchscribe.partlist.talked_units import units_by_list_and_talk, units_by_talk

__all__ = ["Advice", "advise", "read_part_list", "units_by_list_and_talk", "units_by_talk"]
