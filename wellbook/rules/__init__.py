"""The rules: one small pure function each, from a hole and the shop's numbers to findings."""
