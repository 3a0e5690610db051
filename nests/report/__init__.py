"""The report: what a holder is for, what was found, how to print it, how to accept it.

One content (`blocks`) is written twice: as one self-contained page (`page`) and on paper (`paper`).
"""

from nests.report.blocks import Document
from nests.report.holder import holder_report
from nests.report.job_sheet import job_sheet
from nests.report.page import page
from nests.report.paper import paper

__all__ = ["Document", "holder_report", "job_sheet", "page", "paper"]
