"""One picture of a well, shown: as a screen, as JSON, as a history, as plain tables.

What is shown is built once as frozen data (`page`, `history`) and rendered elsewhere (`terminal`,
`json_page`), so that every front end says the same. Nothing here judges a well.
"""
