"""Statistics of readings: straight lines, decisions within an uncertainty, and drift.

Numbers in, numbers out: nothing here knows a card, a holder or a document.
"""
