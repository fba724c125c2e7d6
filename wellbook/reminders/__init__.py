"""Who is told what, by which way, and once: letters, e-mail, calls, check-up lists, the calendar."""
