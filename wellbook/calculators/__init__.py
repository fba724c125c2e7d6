"""The desk calculators: each is one function of named numbers, and one frozen result.

A calculator's options, the columns of its CSV, its help and its JSON all follow from the signature of
its function and the fields of its result, so they cannot differ. The arithmetic itself is in
`engineering`; here it is only asked.
"""
