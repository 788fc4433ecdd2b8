"""Pages to look at and print: templates, style sheet, charts, structures and the flow chart."""
