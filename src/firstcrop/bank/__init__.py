"""The bank: tables of cited values and the records they are read into."""
