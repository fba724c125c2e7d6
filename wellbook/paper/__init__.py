"""Everything on paper, as PDF: pages made of plain values, in grey, for a truck and a clipboard.

A page is a few blocks (`blocks`), set into strips that never break (`strips`), on leaves that say whose they are
(`booklet`). `printing.print_into` draws leaves as they come; nothing else here knows of a file.
"""
