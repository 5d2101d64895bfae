"""Pages to PDF: typeset source, column widths, the printer."""
