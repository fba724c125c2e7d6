"""Two books that share a past, united: what changed on one side only follows that side."""
