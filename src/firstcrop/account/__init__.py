"""What came of a run: yields on every honest basis, where the rest went, what to do next."""
