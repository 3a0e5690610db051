"""The report: what a holder is for, what was found, how to print it, how to accept it.

One content (`blocks`) is written twice: as one self-contained page (`page`) and on paper (`paper`).
"""

from nests.papers.report.blocks import Document
from nests.papers.report.holder import holder_report
from nests.papers.report.job_sheet import job_sheet
from nests.papers.report.page import page
from nests.papers.report.paper import paper

__all__ = ["Document", "holder_report", "job_sheet", "page", "paper"]
