"""Measuring: a sheet asked for fact by fact in the order of the bench, and made from the answers.

What is answered stands in a record (`kinds.measured`) as it was read. `asking` knows what is to be
asked next, `answers` takes one answer, undoes and does again, `sheet_of` makes the sheet with what
it took by default, `unlocked` says what can be made now, `table` writes and reads records as rows
of a spreadsheet, `form` sets the same rows on paper. Faces ask and show; nothing is decided there.
"""
