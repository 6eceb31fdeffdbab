"""Documents: pictures in SVG and pages in HTML that need no other file."""

from zincite.interfaces.documents.report import comparison_html, report_html

__all__ = ["comparison_html", "report_html"]
