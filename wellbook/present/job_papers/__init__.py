"""What stands on the papers of a job: plain content, before anybody lays it out on a page.

A paper states recorded facts, each with its date, its basis and who recorded it; what is not on record
prints as unknown. A figure is "compared with" a published one. No paper says what anybody thinks of a
well or its water.
"""
