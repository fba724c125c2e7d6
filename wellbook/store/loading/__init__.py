"""A well's record from its rows: read some hundreds of wells at a time, by plain rows and look-ups."""
