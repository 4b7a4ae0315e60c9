"""Papers to take along: the run sheet, labels and the report, set by Typst from views' rows."""
