"""The notebook: runs and what was read at the bench, append only, each entry chained."""
