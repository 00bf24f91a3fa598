"""Find what the maker must know: where talk and plan disagree, and what the plan leaves open."""

from __future__ import annotations

from benchscribe.findings.options import Found, PlanDoubt
from benchscribe.findings.plan import check_plan
from benchscribe.findings.stage import find_findings

__all__ = ["Found", "PlanDoubt", "check_plan", "find_findings"]
