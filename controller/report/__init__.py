"""The report: what a grower sees of a dry run, as text, picture, table and comparison."""
