"""The audit: recomputes a design from site, price book and engineering functions alone.

It shares no code with the model: both are written from ``RULES.md``. One function checks one
rule; :data:`RULES` and :data:`BILL_RULES` are the registers.
"""

from optimizer.audit.bill import BILL_RULES, audit_bill
from optimizer.audit.finding import Finding, Rule
from optimizer.audit.reading import BillEntry, read_design
from optimizer.audit.rules import RULES, audit_design
from optimizer.audit.surplus import surplus

__all__ = [
    "BILL_RULES",
    "BillEntry",
    "Finding",
    "RULES",
    "Rule",
    "audit_bill",
    "audit_design",
    "read_design",
    "surplus",
]
