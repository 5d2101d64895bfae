"""Settings of the documentation."""

project = "longpoint"
author = "the longpoint developers"
copyright = "the longpoint developers, Apache-2.0"  # noqa: A001
extensions = ["myst_parser"]
myst_enable_extensions = ["dollarmath", "colon_fence"]
myst_heading_anchors = 3
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = "longpoint"
suppress_warnings = ["myst.xref_missing"]
